"""What happens to lots: they come onto the books and things are said about them; targets of their lines.

Offers are in `offers.py`, lots made from lots in `makings.py`, grams in `ledger.py`.
"""

import datetime as dt
from typing import Any

from django.db.models import Max
from django.utils import timezone

from wetleaf.lots.encoding import reading_as_json
from wetleaf.lots.keeping import fitting_text, kept
from wetleaf.lots.models import Fact, Line, Lot, Producer, Sample, Season, Target
from wetleaf.lots.moments import one_at_a_time
from wetleaf.lots.withdrawals import refuse_withdrawn, withdrawal_of
from wetleaf.trade.errors import BadInput


def season_named(name: str, *, before: str | None = None, invented: bool = False) -> Season:
    """Return the season of that name, made if there is none; `before` names the one it is compared with.

    Raises BadInput for an empty name, for a `before` that is not on the books, and for one that is itself.
    """
    name = name.strip()
    if not name:
        raise BadInput(
            "a season needs a name.", way_out='Name it with --season, as in --season "Spring 2026".'
        )
    earlier = _season_before(name, before)
    last = Season.objects.aggregate(last=Max("sort"))["last"] or 0
    season, _ = Season.objects.get_or_create(
        name=fitting_text(Season, "name", name), defaults={"sort": last + 1, "is_invented": invented}
    )
    if earlier is not None and season.before_id != earlier.pk:
        season.before = earlier
        season.save(update_fields=["before"])
    return season


def _season_before(name: str, before: str | None) -> Season | None:
    if before is None:
        return None
    if before.strip() == name:
        raise BadInput(f"'{name}' cannot be compared with itself.", way_out="Name the season before it.")
    return known_season(before.strip())


def known_season(name: str) -> Season:
    """Return the season of that name. Raises BadInput, naming those there are, when there is none."""
    season = Season.objects.filter(name=name).first()
    if season is None:
        names = ", ".join(f"'{one}'" for one in Season.objects.values_list("name", flat=True))
        raise BadInput(
            f"there is no season '{name}' on the books.",
            way_out=f"There is {names}." if names else "Import a workbook first.",
        )
    return season


def known_lot(season: Season, code: str, *, also_withdrawn: bool = False) -> Lot:
    """Return the season's lot of that code. Raises BadInput, naming codes like it, when there is none.

    A lot that was withdrawn is refused too, with the way to bring it back, unless `also_withdrawn`.
    """
    lot = Lot.objects.filter(season=season, code=code).first() or (
        Lot.objects.filter(season=season, code__iexact=code.strip()).first()
    )
    if lot is None:
        import difflib

        codes = list(Lot.objects.that_stand().filter(season=season).values_list("code", flat=True))
        near = difflib.get_close_matches(code, codes, n=3) or codes[:8]
        raise BadInput(
            f"there is no lot '{code}' in {season}.",
            way_out=f"There is {', '.join(near)}." if near else "The season holds no lot yet.",
        )
    if not also_withdrawn:
        refuse_withdrawn(lot)
    return lot


def new_lot(
    season: Season,
    code: str,
    name: str,
    *,
    producer: str | None = None,
    line: str | None = None,
    tea_class: str = "",
    source: str = "",
) -> Lot:
    """Put a lot with its one sample onto the books. Raises BadInput when the code is taken or empty."""
    code = code.strip()
    if not code:
        raise BadInput("a lot needs a code.", way_out="Give one that the season does not use yet.")
    with one_at_a_time():
        _refuse_code_in_use(season, code)
        lot = kept(
            Lot,
            season=season,
            code=code,
            name=name.strip() or code,
            producer=producer_named(producer),
            line=line_named(line),
            tea_class=tea_class,
            source=source,
        )
        lot.save()
        Sample.objects.create(lot=lot, code=lot.code)
    return lot


def _refuse_code_in_use(season: Season, code: str) -> None:
    lot = Lot.objects.filter(season=season, code=code).first()
    if lot is None:
        return
    if withdrawal_of(lot) is not None:
        raise BadInput(
            f"{season} has a lot '{code}' that was withdrawn; it keeps its code.",
            way_out=f'Give another, or bring it back: wetleaf lot restore {code} --season "{season}".',
        )
    raise BadInput(f"{season} already has a lot '{code}'.", way_out="Give another code.")


def free_code(season: Season, stem: str) -> str:
    """Return the first code of the form `stem-1`, `stem-2`, ... that the season does not use."""
    taken = set(Lot.objects.filter(season=season, code__startswith=stem).values_list("code", flat=True))
    return next(code for number in range(1, len(taken) + 2) if (code := f"{stem}-{number:02}") not in taken)


def producer_named(name: str | None) -> Producer | None:
    """Return the producer of that name, made if there is none; None for no name."""
    if not name or not name.strip():
        return None
    return Producer.objects.get_or_create(name=fitting_text(Producer, "name", name.strip()))[0]


def line_named(name: str | None) -> Line | None:
    """Return the line of that name, made if there is none; None for no name."""
    if not name or not name.strip():
        return None
    return Line.objects.get_or_create(name=fitting_text(Line, "name", name.strip()))[0]


def note_fact(
    lot: Lot,
    field: str,
    written: str,
    value: Any = None,
    *,
    ground: str = Fact.Ground.PRODUCER,
    source: str = "",
    now: dt.datetime | None = None,
) -> Fact:
    """Add what is now said of a field; `value` is its reading, the text itself if none is given.

    The latest fact of a field holds; earlier ones stay. What already holds, on the same ground, is not added.
    """
    reading = reading_as_json(written if value is None else value)
    last = Fact.objects.filter(lot=lot, field=field).last()
    if last is not None and last.value == reading and last.ground == ground:
        return last
    fact = kept(
        Fact,
        lot=lot,
        field=field,
        written=written,
        value=reading,
        ground=ground,
        source=source,
        said_at=now or timezone.now(),
    )
    fact.save()
    return fact


def set_target(
    line: Line,
    attribute: str = "",
    *,
    value: float | None = None,
    tolerance: float | None = None,
    now: dt.datetime | None = None,
) -> Target:
    """Say what a line should be on an attribute ("" for every attribute). The latest target holds.

    Raises BadInput for a tolerance that is not above zero.
    """
    if tolerance is not None and not tolerance > 0:
        raise BadInput(
            f"a tolerance of {tolerance:g} is none.", way_out="Give the size that matters, above zero."
        )
    last = Target.objects.filter(line=line, attribute=attribute).last()
    if last is not None and (last.value, last.tolerance) == (value, tolerance):
        return last
    target = kept(
        Target,
        line=line,
        attribute=attribute,
        value=value,
        tolerance=tolerance,
        said_at=now or timezone.now(),
    )
    target.save()
    return target
