"""Profiles as values: dots with intervals, an answer a row, the rows that separate most first."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from wetleaf.findings.assembling.sentences import counted, listed, said_count, sentence
from wetleaf.findings.book import Answer, Bar, Dot, Estimate, Ground, Profile, ProfileRow
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings.cups import CupTable
from wetleaf.findings.readings.profiles import METHOD, AttributeRead, MeanRead, ProfileRead

Band = tuple[float, float]
_MOST_NAMED = 3
POTS_UNNAMED = " (none is named, so each taster's next cup is taken as from the next pot, shared by all)"


@dataclass(frozen=True)
class Held:
    """What one attribute is held against: the value, the difference from it and its 90 % interval."""

    value: float
    difference: float
    low_90: float
    high_90: float
    excluded: str


LARGEST_SHARE_OF_FALSE_ONES = 0.05
_AT_ZERO = re.compile(r"The ([a-z ]+) variance is estimated at zero \(a singular fit\)")
_RESIDUAL_AT_ZERO = (
    "The residual variance is estimated at zero (a singular fit): what is left lies between tasters or pots, "
    "and the df are rough"
)


def estimate_of(
    mean: MeanRead, scale: Band, ground: Ground | None = None, *, confidence: float = 0.95
) -> Estimate:
    """Turn a mean into an estimate.

    Its interval stops at the ends of the scale, where no score can lie beyond.
    """
    low = math.nan if mean.low is None else max(mean.low, scale[0])
    high = math.nan if mean.high is None else min(mean.high, scale[1])
    note = "" if mean.low is not None else "too few cups for an interval"
    return Estimate(mean.value, low, high, *scale, confidence=confidence, ground=ground, note=note)


def ground_of_table(profile: ProfileRead, grounds: Grounds) -> Ground:
    """What the numbers of a profile rest on, down to the leaf."""
    table = profile.table
    names = listed([flight.told for flight in table.flights])
    return grounds.of(
        f"How strong is what, in {names}?",
        method=METHOD,
        digest=table.digest,
        rests_on=(
            (_scores_told(table), _who_gave_them(table)),
            (_pots_told(table), _how_held(table)),
            (f"Samples of {listed(table.lots)}", "as received; the leaf ledger tells how much was spent"),
        ),
    )


def profile_of_flight(profile: ProfileRead, grounds: Grounds, *, apart: str = "") -> Profile:
    """The profile of everything on a table; `apart` says why a lot's own page may show other means."""
    rows = tuple(
        ProfileRow(
            attribute.label,
            _dots(attribute, profile.table.lots, "", profile.table.scale),
            None,
            None,
            _do_they_differ(attribute),
        )
        for attribute in profile.attributes
    )
    whole = _profile("How strong is what", _said_of_all(profile), profile, profile.table.lots, rows, grounds)
    return replace(whole, about=" ".join(part for part in (whole.about, apart) if part))


def profile_of_lot(
    profile: ProfileRead,
    lot: str,
    beside: tuple[str, ...],
    *,
    title: str,
    say: str,
    bands: Mapping[str, Band],
    answer_of: Callable[[AttributeRead], Answer],
    grounds: Grounds,
    as_labels: Mapping[str, str],
    against: Mapping[str, Held] | None = None,
    decides: str = "",
) -> Profile:
    """One lot beside its baseline; `bands` is what the house allows, by attribute.

    `against` says what each attribute is held against: beside a band the dots then show what decides.
    """
    shown, held = (lot, *beside), against or {}
    rows = tuple(
        ProfileRow(
            attribute.label,
            _decided_dots(
                _dots(attribute, shown, lot, profile.table.scale, as_labels),
                held.get(attribute.label) if attribute.label in bands else None,
            ),
            bands[attribute.label][0] if attribute.label in bands else None,
            bands[attribute.label][1] if attribute.label in bands else None,
            answer_of(attribute),
            excluded=held[attribute.label].excluded if attribute.label in held else "",
        )
        for attribute in profile.attributes
        if lot in attribute.means
    )
    labels = tuple(as_labels.get(key, key) for key in shown)
    whole = _profile(title, say, profile, labels, rows, grounds)
    return replace(
        whole,
        about=" ".join(part for part in (whole.about, _over_sittings(profile)) if part),
        decides=decides if held and bands else "",
    )


def _decided_dots(dots: tuple[Dot, ...], held: Held | None) -> tuple[Dot, ...]:
    """The dots as they are judged: this lot with the 90 % interval that decides, the other as a plain dot."""
    if held is None:
        return dots
    return tuple(replace(dot, estimate=_as_judged(dot, held)) for dot in dots)


def _as_judged(dot: Dot, held: Held) -> Estimate | None:
    old = dot.estimate
    if old is None:
        return None
    if not dot.is_this:
        return replace(old, low=math.nan, high=math.nan)
    ends = [min(max(held.value + end, old.scale_low), old.scale_high) for end in (held.low_90, held.high_90)]
    value = min(max(held.value + held.difference, old.scale_low), old.scale_high)
    return replace(old, value=value, low=ends[0], high=ends[1], confidence=0.9)


def _over_sittings(profile: ProfileRead) -> str:
    """Why a mean of a lot's page may differ from the one in a flight's own table."""
    flights = profile.table.flights
    if len(flights) < 2:
        return ""
    names = listed([flight.told for flight in flights])
    return (
        f"The means are over {names} together, each with its own shift; "
        "in the table of one flight alone they may differ a little."
    )


def bars_of(
    profile: ProfileRead,
    lot: str,
    before: str | None,
    answer_of: Callable[[AttributeRead], Answer],
    *,
    two_teas: bool,
) -> dict[str, tuple[Bar, ...]]:
    """The intensities of a lot as bars at their stages; of two teas, last year's on the left."""
    found: dict[str, tuple[Bar, ...]] = {}
    for attribute in profile.attributes:
        this = _estimate(attribute, lot, profile.table.scale)
        if this is None:
            continue
        other = _estimate(attribute, before, profile.table.scale) if before else None
        differ = answer_of(attribute).answer if other else None
        left, right = (other, this) if two_teas else (this, None)
        bar = Bar(attribute.label, left, right, differ)
        found[attribute.stage] = (*found.get(attribute.stage, ()), bar)
    return found


def unpooled(profile: ProfileRead) -> str:
    """Say how the cups of a table were tasted: "blind, on 0 to 7"."""
    table = profile.table
    return f"{'blind' if table.blind else 'open'}, on {table.scale[0]:g} to {table.scale[1]:g}"


def _profile(
    title: str,
    say: str,
    profile: ProfileRead,
    labels: tuple[str, ...],
    rows: tuple[ProfileRow, ...],
    grounds: Grounds,
) -> Profile:
    models = list(dict.fromkeys(attribute.model for attribute in profile.attributes))
    return Profile(
        title,
        say,
        _without_stop(models[0]) if models else "",
        *profile.table.scale,
        labels,
        rows,
        ground_of_table(profile, grounds),
        _warnings(profile, models[1:]),
        _about(profile),
    )


def _about(profile: ProfileRead) -> str:
    """Who tasted how much of what, and how far the claims under a picture reach, in one sentence."""
    table = profile.table
    lots = f"{'each of ' if len(table.lots) > 1 else ''}{counted(len(table.lots), 'lot')}"
    least, most = min(table.pots.values()), max(table.pots.values())
    pots = counted(most, "pot") if least == most else f"{said_count(least)} to {counted(most, 'pot')}"
    told = f"{pots} of {lots}{POTS_UNNAMED if table.unnamed else ''}"
    these = "this taster" if len(table.tasters) == 1 else "these tasters"
    reaches_lots = any(attribute.claim not in ("these pots", "none") for attribute in profile.attributes)
    what = "these lots, brewed this way," if reaches_lots and not _about_pots(profile) else "these pots"
    return sentence(f"{listed(table.tasters)} tasted {told}; the answers are about {what} and {these} only")


def _warnings(profile: ProfileRead, other_models: list[str]) -> tuple[str, ...]:
    of_attributes: dict[str, list[str]] = {}
    for attribute in profile.attributes:
        for warning in attribute.warnings:
            of_attributes.setdefault(warning, []).append(attribute.label)
    told = [f"{_named(labels)}: {_without_stop(warning)}" for warning, labels in of_attributes.items()]
    if other_models:
        told.append("some attributes carry a smaller model, as their warnings say")
    if not profile.table.blind:
        told.append("tasted open, so name and look had their say")
    extra = [profile.note] if profile.note else []
    return tuple(in_buyers_words(text) for text in (*map(_without_stop, (*profile.warnings, *extra)), *told))


def in_buyers_words(warning: str) -> str:
    """Say a warning of the computation without its statistical name, which the grounds and methods keep.

    >>> in_buyers_words("floral: The taster x lot variance is estimated at zero (a singular fit)")
    'floral: these cups show no taster x lot spread of its own, so none is counted'
    """
    said = _AT_ZERO.sub(r"these cups show no \1 spread of its own, so none is counted", warning)
    said = said.replace(_RESIDUAL_AT_ZERO, "Repeated cups agree so closely that the doubt shown is rough")
    return said.replace(" (Benjamini and Hochberg)", "")


def _named(labels: list[str]) -> str:
    if len(labels) <= _MOST_NAMED:
        return listed(labels)
    return f"{', '.join(labels[:_MOST_NAMED])} and {counted(len(labels) - _MOST_NAMED, 'more', 'more')}"


def _dots(
    attribute: AttributeRead,
    lots: tuple[str, ...],
    this: str,
    scale: Band,
    as_labels: Mapping[str, str] | None = None,
) -> tuple[Dot, ...]:
    labels = as_labels or {}
    return tuple(
        Dot(labels.get(lot, lot), _estimate(attribute, lot, scale), is_this=lot == this) for lot in lots
    )


def _estimate(attribute: AttributeRead, lot: str | None, scale: Band) -> Estimate | None:
    mean = attribute.means.get(lot) if lot else None
    return estimate_of(mean, scale) if mean else None


def _do_they_differ(attribute: AttributeRead) -> Answer:
    what = "these pots" if attribute.claim == "these pots" else "the lots"
    says = _without_stop(attribute.rule)
    if attribute.answer == "yes" and not _stands_among_all(attribute):
        says += "; asked alone: among all that was asked it may be luck"
    return Answer(f"Do {what} differ in {attribute.label}?", attribute.answer, says)


def _said_of_all(profile: ProfileRead) -> str:
    found = [attribute for attribute in profile.attributes if attribute.answer == "yes"]
    differ = [one.label for one in found if _stands_among_all(one)]
    alone = [one.label for one in found if not _stands_among_all(one)]
    same = [attribute.label for attribute in profile.attributes if attribute.answer == "no"]
    open_ = len(profile.attributes) - len(found) - len(same)
    if not profile.attributes:
        return "Nothing was scored."
    parts = [f"they differ in {listed(differ)}"] if differ else []
    if alone:
        asked = counted(len(profile.attributes), "attribute")
        differ_s = "differs" if len(alone) == 1 else "differ"
        parts.append(f"{listed(alone)} {differ_s} if asked alone, but among {asked} that may be luck")
    parts += [f"no difference worth a word in {listed(same)}"] if same else []
    if open_:
        rest = "the rest" if found or same else "whether they differ in anything scored"
        parts.append(f"{rest} can't be told yet")
    about = " Each lot had one pot, so this is about these pots." if _about_pots(profile) else ""
    return sentence("; ".join(parts)) + about


def _stands_among_all(attribute: AttributeRead) -> bool:
    """Whether a difference stands when all attributes asked at once are counted (Benjamini and Hochberg)."""
    return attribute.false_discovery is None or attribute.false_discovery <= LARGEST_SHARE_OF_FALSE_ONES


def _about_pots(profile: ProfileRead) -> bool:
    return any(attribute.claim == "these pots" for attribute in profile.attributes)


def _scores_told(table: CupTable) -> str:
    scores = sum(len(cup.scores) for cup in table.cups)
    return f"{scores} scores of {counted(len(table.attributes), 'attribute')}"


def _who_gave_them(table: CupTable) -> str:
    cups = {taster: sum(cup.taster == taster for cup in table.cups) for taster in table.tasters}
    return ", ".join(f"{taster} {counted(number, 'cup')}" for taster, number in cups.items())


def _pots_told(table: CupTable) -> str:
    most, least = max(table.pots.values()), min(table.pots.values())
    each = f"{least}" if most == least else f"{least} to {most}"
    named = ", pots not named" if table.unnamed else ""
    return f"{counted(len(table.flights), 'sitting')}, {each} {'pot' if each == '1' else 'pots'} a lot{named}"


def _how_held(table: CupTable) -> str:
    held = [f"{flight.told}{', ' + flight.brewed if flight.brewed else ''}" for flight in table.flights]
    return f"{'blind' if table.blind else 'open'}; {'; '.join(held)}"


def _without_stop(text: str) -> str:
    return text.strip().rstrip(".")
