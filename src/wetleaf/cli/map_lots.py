"""What `wetleaf map lots` answers, in words and as JSON: places, distances, families and gaps."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from wetleaf.cli.said import Said
from wetleaf.cli.score_file import ReadScores
from wetleaf.numerics.maps import (
    Distance,
    EmptyRegion,
    LotMap,
    distances_between,
    emptiest_region,
    families_of_lots,
    map_of_lots,
    nearest_lots,
)


def of_lots(read: ReadScores, *, scaled: bool, seed: int) -> Said:
    """Say where the lots stand."""
    rng = np.random.default_rng(seed)
    found = map_of_lots(read.scores, rng=rng, scaled=scaled)
    distances, nearest = distances_between(found), nearest_lots(found)
    families, gap = families_of_lots(found, rng=rng), emptiest_region(found.components)
    parts = found.components
    warnings = [*read.warnings, *found.warnings]
    content = {
        "question": parts.question,
        "whose": found.whose,
        "lots": [asdict(one) for one in found.ellipses],
        "axes": [_axis(found, k) for k in range(min(2, len(parts.share)))],
        "distances": [asdict(one) for one in distances],
        "nearest": [asdict(one) for one in nearest],
        "families": asdict(families),
        "emptiest": None if gap is None else asdict(gap),
        "warnings": warnings,
    }
    lines = [
        *(_axis_in_words(found, k) for k in range(min(2, len(parts.share)))),
        f"Places, with a 95 % ellipse for {found.whose}:",
        *_places_in_words(found),
        "Nearest, the typical difference of an attribute in points:",
        *(f"  {_nearest_in_words(one.lot, one.nearest, one.chance, distances)}" for one in nearest),
        families.words,
        *([] if gap is None else [_gap_in_words(gap)]),
        *warnings,
    ]
    return Said(content, tuple(lines))


def _axis(found: LotMap, k: int) -> dict[str, Any]:
    parts = found.components
    return {
        "share": float(parts.share[k]),
        "attributes": dict(zip(parts.columns, parts.column_scores[:, k].tolist(), strict=True)),
    }


def _axis_in_words(found: LotMap, k: int) -> str:
    parts = found.components
    order = np.argsort(-np.abs(parts.column_scores[:, k]), kind="stable")[:4]
    named = [f"{'more' if parts.column_scores[i, k] > 0 else 'less'} {parts.columns[i]}" for i in order]
    side = ("To the right", "Upwards")[k]
    return f"{side} ({parts.share[k]:.0%} of what sets them apart): {', '.join(named)}."


def _places_in_words(found: LotMap) -> list[str]:
    width = max(len(one.lot) for one in found.ellipses)
    return [
        f"  {one.lot:<{width}}  {one.x:6.2f} {one.y:6.2f}"
        + ("" if np.isnan(one.half_long) else f"   within {one.half_long:.2f} by {one.half_short:.2f}")
        for one in found.ellipses
    ]


def _nearest_in_words(lot: str, nearest: str, chance: float, distances: Sequence[Distance]) -> str:
    one = next(d for d in distances if {d.a, d.b} == {lot, nearest})
    sure = "" if np.isnan(one.low) else f" ({one.low:.1f} to {one.high:.1f}), in {chance:.0%} of resamples"
    return f"{lot}: {nearest}, {one.seen:.1f}{sure}"


def _gap_in_words(gap: EmptyRegion) -> str:
    like = ", ".join(f"{name} {value:.1f}" for name, value in gap.scores.items())
    return f"The widest gap lies between {', '.join(gap.around)}; a lot there would have {like}."
