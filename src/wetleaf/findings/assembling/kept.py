"""What stands beside a verdict on two years: the kept sample's age, how it was kept, what it may claim."""

from wetleaf.findings.assembling.cases import LotCase
from wetleaf.findings.assembling.sentences import listed, said_day, sentence
from wetleaf.findings.readings.kept import KeptRead
from wetleaf.trade.keeping import Keeping


def said_of_kept(case: LotCase) -> tuple[str, ...]:
    """Say of every kept sample behind the comparison with last year its age, how it was kept, and a caution.

    The fading of a kind is said once, however many samples of it were poured.
    """
    left_out = case.years.left_out if case.years else ()
    told = [_told(case, kept) for kept in (*case.kept, *left_out)]
    cautions = dict.fromkeys(_caution(kept, own=_is_last_years(case, kept)) for kept in case.kept)
    return (*told, *cautions, *(_said_left_out(kept) for kept in left_out))


def _said_left_out(kept: KeptRead) -> str:
    changed = f"the kept sample of {kept.lot.key} has changed for all we know, so its cups are left out"
    return sentence(f"{changed}: another tea poured in both years ties them")


def poured_again(case: LotCase) -> str:
    """Name last year's side of a picture where it was poured again, as a kept sample, with its age then."""
    own = next((kept for kept in case.kept if kept.served_on and _is_last_years(case, kept)), None)
    if own is None:
        return ""
    months = own.months_since_picking
    return f"; poured again kept, {_months(months)} old" if months is not None else "; poured again kept"


def _is_last_years(case: LotCase, kept: KeptRead) -> bool:
    return case.years is not None and kept.lot.pk == case.years.before.pk


def _told(case: LotCase, kept: KeptRead) -> str:
    which = (
        "last year's kept sample"
        if _is_last_years(case, kept)
        else f"the tie, the kept sample of {kept.lot.key},"
    )
    how = f"kept {kept.how}" if kept.how else "how it was kept is not said"
    opened = f", opened {kept.opened}" if kept.opened else ""
    return sentence(f"{which} {_age(case, kept)}; {how}{opened}")


def _age(case: LotCase, kept: KeptRead) -> str:
    """Its age by the dates there are, in months: nobody dates a tin to the week."""
    day = said_day(kept.served_on, seen_from=case.made_on) if kept.served_on else ""
    when = f" when poured on {day}" if day else " by now"
    dated = ((kept.months_since_picking, "picking"), (kept.months_since_arrival, "its arrival"))
    parts = [f"{_months(months)} from {event}" for months, event in dated if months is not None]
    if not parts:
        return f"{'was' if day else 'is'} of an age not known, as no date was noted"
    return f"{'was' if day else 'is'} {listed(parts)}{when}"


def _months(months: int) -> str:
    if months < 1:
        return "less than a month"
    return f"about {months} month{'' if months == 1 else 's'}"


def _caution(kept: KeptRead, *, own: bool) -> str:
    """What its keeping allows: it stands for the tea it was, or ties the scales and no more."""
    keeping = kept.keeping
    if keeping is None:
        return "A kept sample fades, and its class is not known: it ties the scales only, as it is now."
    if keeping.is_stable:
        little = f"loses little in {keeping.lasts_months} months ({_ground(keeping)})"
        return sentence(f"a kept sample fades; {_way(keeping)}, {keeping.kind} {little}")
    so = (
        "the differences are from the sample as it is now, not as it came"
        if own
        else "what it lost would look like a shift between the sittings"
    )
    return sentence(f"{_why_not(keeping)}, so it ties the scales only: {so}")


def _why_not(keeping: Keeping) -> str:
    if keeping.is_past_its_time:
        lasts = f"lasts {keeping.lasts_months} months ({_ground(keeping)})"
        return f"{keeping.kind}, {_way(keeping)}, {lasts}, and it was older"
    if keeping.lasts_months is not None:  # kept well, and nobody knows for how long
        return f"{keeping.kind} lasts for a time only ({_ground(keeping)}), and its age is not known"
    if keeping.way == "open":
        return f"{keeping.kind} kept unsealed does not last (common practice)"
    does = "fades within the year" if keeping.keeps == "fades" else "turns into another tea as it is kept"
    return f"{keeping.kind} not known to be kept cold {does} (common practice)"


def _way(keeping: Keeping) -> str:
    return {"cold": "kept cold", "airtight": "airtight"}.get(keeping.way, "sealed")


def _ground(keeping: Keeping) -> str:
    said = keeping.ground.source
    return said if said == "common practice" else "by producers' best-before habits, from memory"
