"""A lot's two pictures: the ladder and the profile, beside last year's lot or the first of its kind."""

import math

from wetleaf.findings.assembling.answers import THEIR_SCALE, said_change, said_of_years
from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.kept import poured_again
from wetleaf.findings.assembling.ladders import one_tea, two_years
from wetleaf.findings.assembling.profiles import Held, bars_of, profile_of_lot
from wetleaf.findings.assembling.sentences import listed, sentence
from wetleaf.findings.book import Answer, Bar, Ladder, Profile
from wetleaf.findings.drawings.spoken import said_number
from wetleaf.findings.grounds import Grounds
from wetleaf.findings.readings.profiles import AttributeRead
from wetleaf.findings.readings.targets import TargetRead
from wetleaf.findings.readings.years import smallest_excluded

Band = tuple[float, float]
DIFFERENCE_DECIDES = "90 % of the difference"
MEAN_DECIDES = "90 %, which decides"


def ladder_of(case: LotCase) -> Ladder | None:
    """The ladder of a lot: with last year's lot where there is one, else of one tea."""
    years = case.years
    before = years.before if years else None
    bars = _bars(case, before.key if before and years and years.profile else None)
    sub = f"{case.lot.code}, {_told_by(case)}"
    if before is None:
        return one_tea(case.lot.name, sub, case.said, bars)
    left_sub = f"{before.code} {before.name}{poured_again(case)}"
    return two_years(
        (before.season, left_sub, case.said_before),
        (case.lot.season, f"{case.lot.code} {case.lot.name}", case.said),
        bars,
        _said_of_years(case),
    )


def profile_of(case: LotCase, grounds: Grounds) -> Profile | None:
    """The profile of a lot beside last year's lot, or beside the best liked of its group, or alone."""
    profile = case.profile
    if profile is None:
        return None
    beside = _baseline(case)
    labels = {case.lot.key: case.lot.code}
    if beside:
        other = next(lot for lot in case.season.records.lot_of.values() if lot.key == beside)
        labels[beside] = other.code if other.season == case.lot.season else f"{other.code}, {other.season}"
    is_years = bool(case.years and case.years.profile)
    return profile_of_lot(
        profile,
        case.lot.key,
        (beside,) if beside else (),
        title=_title_of_years(case)
        if is_years
        else "Against the target"
        if _bands(case)
        else "How strong is what",
        say=_said_of_profile(case, beside),
        bands=_bands(case),
        answer_of=lambda attribute: _answer(case, attribute, beside),
        grounds=grounds,
        as_labels=labels,
        against=_held(case),
        decides=DIFFERENCE_DECIDES if is_years else MEAN_DECIDES,
    )


def _title_of_years(case: LotCase) -> str:
    if case.years and case.years.is_own_faded:
        return "Against last year's kept sample, as it is now"
    return "Against last year's tea"


def _held(case: LotCase) -> dict[str, Held]:
    """What each attribute is held against: the target's value, else last year's mean."""
    target, years = case.target, case.years
    if target and target.bands:
        return _held_against_the_target(case, target)
    if years is None or years.profile is None:
        return {}
    found: dict[str, Held] = {}
    for change in years.changes:
        mean = years.profile.by_label[change.label].means.get(years.before.key)
        ends = (change.low_90, change.high_90)
        if mean is not None and ends[0] is not None and ends[1] is not None:
            excluded = said_number(change.excluded or 0)
            found[change.label] = Held(mean.value, change.difference, ends[0], ends[1], excluded)
    return found


def _held_against_the_target(case: LotCase, target: TargetRead) -> dict[str, Held]:
    profile = case.profile
    found: dict[str, Held] = {}
    for label, (low, high) in target.bands.items():
        mean = (
            profile.by_label[label].means.get(case.lot.key) if profile and label in profile.by_label else None
        )
        if mean is not None and label in target.off:
            value, off = (low + high) / 2, target.off[label]
            excluded = said_number(smallest_excluded(*off) or 0)
            found[label] = Held(value, mean.value - value, *off, excluded)
    return found


def _bars(case: LotCase, before: str | None) -> dict[str, tuple[Bar, ...]]:
    if case.profile is None:
        return {}
    return bars_of(
        case.profile,
        case.lot.key,
        before,
        lambda attribute: _answer(case, attribute, before),
        two_teas=case.years is not None,
    )


def _baseline(case: LotCase) -> str:
    """Last year's lot where they met, else the best liked other lot of the line that was scored with it."""
    profile = case.profile
    if profile is None:
        return ""
    if case.years and case.years.profile is profile:
        return case.years.before.key
    if not case.group.can_be_ranked:
        return ""  # nobody said that the others are of its kind
    liked = case.liked_group.lots if case.liked_group else {}
    others = [key for key in case.group.keys if key != case.lot.key and key in profile.table.lots]
    return max(others, key=lambda key: liked[key].value if key in liked else float("-inf"), default="")


def _answer(case: LotCase, attribute: AttributeRead, beside: str | None) -> Answer:
    years = case.years
    if years and years.profile and beside == years.before.key:
        change = years.change(attribute.label)
        says = said_change(change) if change else "not scored in both"
        question = "Does it differ from that sample as it is now?" if years.is_own_faded else "Has it moved?"
        return Answer(question, change.answer if change else None, says, not_asked="not scored in both")
    if case.target and attribute.label in case.target.bands:
        return _inside(case, attribute.label)
    pair = attribute.pair(case.lot.key, beside) if beside else None
    if pair is None:
        return _without_a_pair(attribute, beside)
    if attribute.claim == "these pots":
        return Answer("Do they differ?", "can't tell yet", "one pot each: these two pots, not the lots")
    return Answer("Do they differ?", pair.answer)


def _without_a_pair(attribute: AttributeRead, beside: str | None) -> Answer:
    """Why two lots that are drawn side by side are not compared: never scored both, or no spread to go by."""
    if not beside:
        return Answer("Do they differ?", None, not_asked="nothing beside it")
    if beside not in attribute.means:
        return Answer("Do they differ?", None, not_asked="not scored in both")
    return Answer("Do they differ?", "can't tell yet", attribute.rule.rstrip("."))


def _inside(case: LotCase, label: str) -> Answer:
    target = case.target
    question = "Within the tolerance?"
    if target and label in target.inside:
        return Answer(question, "yes")
    return Answer(question, "no" if target and label in target.outside else "can't tell yet")


def _bands(case: LotCase) -> dict[str, Band]:
    """What the house allows, no further than the scale goes."""
    scale = case.profile.table.scale if case.profile else (-math.inf, math.inf)
    return {label: _on_the_scale(band, scale) for label, band in _allowed(case).items()}


def _on_the_scale(band: Band, scale: Band) -> Band:
    return min(max(band[0], scale[0]), scale[1]), max(min(band[1], scale[1]), scale[0])


def _allowed(case: LotCase) -> dict[str, Band]:
    """The target's bands, else the tolerance around last year's lot."""
    if case.target and case.target.bands:
        return case.target.bands
    years = case.years
    if years is None or years.profile is None:
        return {}
    bands: dict[str, Band] = {}
    for change in years.changes:
        mean = years.profile.by_label[change.label].means.get(years.before.key)
        if change.tolerance is not None and mean is not None:
            bands[change.label] = (mean.value - change.tolerance, mean.value + change.tolerance)
    return bands


def _said_of_years(case: LotCase) -> str:
    years = case.years
    if years is None:
        return ""
    if years.profile is None:
        return "The words of both years; the two were never served in one sitting."
    if years.answer == "no":
        moved = listed([said_change(change) for change in years.moved[:3]])
        return sentence(f"{moved} than last year's")
    if years.faded:
        return sentence(said_of_years(years))
    same = "within the tolerance, it is last year's tea for these tasters"
    return sentence(same if years.answer == "yes" else years.why)


def _said_of_profile(case: LotCase, beside: str) -> str:
    years, profile = case.years, case.profile
    how = f"Tasted {'blind' if profile and profile.table.blind else 'open'}."
    if years and years.profile is profile and years.profile is not None:
        return f"{_said_of_years(case)} {sentence(years.how_met)}"
    if case.target:
        return f"{sentence(case.target.why)} {THEIR_SCALE}"
    if beside:
        return " ".join(
            part for part in (f"Beside {beside}, of the same kind.", how, _no_spread(case, beside)) if part
        )
    return f"Nothing of its kind was scored beside it. {how}"


def _no_spread(case: LotCase, beside: str) -> str:
    """Say why no attribute could be compared, where none could."""
    attributes = case.profile.attributes if case.profile else ()
    if not attributes or any(attribute.pair(case.lot.key, beside) for attribute in attributes):
        return ""
    return attributes[0].rule


def _told_by(case: LotCase) -> str:
    people = {remark.taster for remark in case.said.remarks} if case.said else set()
    return "one taster" if len(people) == 1 else f"{len(people)} tasters" if people else "no words"
