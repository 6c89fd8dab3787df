"""What is asked of a design, checked before anything is laid: a refusal names the value and the way out."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from wetleaf.trade.errors import BadInput
from wetleaf.trade.stages import sitting_limit

MOST_TEAS, MOST_TASTERS, MOST_REPLICATES, MOST_CUPS = 200, 60, 50, 20_000
WAYS = ("row", "private")
CODED = ("brew", "cup")


@dataclass(frozen=True)
class Asked:
    """What is to be laid out.

    `samples` are tasted by every one of `tasters`, each in `replicates` brews; `purpose` sets how many cups a
    sitting takes (`trade.stages`), `limit` overrides it. `way` "row": one row of bowls for all; "private":
    every taster an own order of cups. `bridges`: teas served in every sitting, from the samples or others.
    `sittings`: so many sittings in all, instead of as few as keep the replicates apart. `per_taster`: each
    taster tastes only so many samples in a sitting. `unlinked`: do not add a bridge where sittings would
    otherwise not be linked. `coded` "brew" or "cup": what carries a code. `spent`: codes not to use again.
    """

    samples: Sequence[str]
    tasters: Sequence[str]
    replicates: int = 1
    purpose: str = "profile"
    way: str = "row"
    bridges: Sequence[str] = ()
    limit: int | None = None
    sittings: int | None = None
    per_taster: int | None = None
    unlinked: bool = False
    coded: str = "brew"
    spent: Sequence[str] = ()
    protocol: str = "column_cup"
    tea_class: str | None = None
    group: str | None = None
    grams_left: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def cups_at_most(self) -> int:
        """Return how many cups a taster may be given in a sitting."""
        return sitting_limit(self.purpose).cups_most if self.limit is None else self.limit


def check(asked: Asked) -> None:
    """Refuse what cannot be laid out. Raises BadInput.

    >>> check(Asked(["A"], ["Wren"]))
    Traceback (most recent call last):
    wetleaf.trade.errors.BadInput: One sample (A) cannot be compared with anything. Give at least two samples.
    """
    check_names("sample", asked.samples, MOST_TEAS)
    if len(asked.samples) == 1:
        raise BadInput(
            f"One sample ({asked.samples[0]}) cannot be compared with anything.",
            way_out="Give at least two samples.",
        )
    check_names("taster", asked.tasters, MOST_TASTERS)
    check_names("bridge tea", asked.bridges, MOST_TEAS, may_be_none=True)
    check_number("replicates", asked.replicates, 1, MOST_REPLICATES)
    _check_words(asked)
    _check_room(asked)
    check_grams(asked.grams_left, (*asked.samples, *asked.bridges))


def check_names(what: str, names: Sequence[str], most: int, *, may_be_none: bool = False) -> None:
    """Refuse no names, blank names, one name twice, or more than `most`."""
    if not names and not may_be_none:
        raise BadInput(f"No {what} is named.", way_out=f"Name at least one {what}.")
    if any(not name.strip() for name in names):
        raise BadInput(f"A {what} has no name.", way_out="Leave the empty name out.")
    met = Counter(name.strip().casefold() for name in names)
    twice = [name for name in names if met[name.strip().casefold()] > 1]
    if twice:
        raise BadInput(f"The {what} {twice[0]!r} is named twice.", way_out="Name each once.")
    if len(names) > most:
        raise BadInput(f"{len(names)} {what}s are more than {most}.", way_out="Plan in parts.")


def check_number(what: str, value: int, least: int, most: int) -> None:
    """Refuse a number outside its range."""
    if not least <= value <= most:
        raise BadInput(f"{value} {what} cannot be laid out.", way_out=f"Give {least} to {most}.")


def check_grams(grams: Mapping[str, Decimal], teas: Sequence[str]) -> None:
    """Refuse grams of a tea that is not in the plan, and negative grams."""
    for tea, left in grams.items():
        if tea not in teas:
            raise BadInput(
                f"Grams are given for {tea!r}, which is not in the plan.", way_out="Name a sample."
            )
        if not left.is_finite() or left < 0:
            raise BadInput(f"{left} grams of {tea} cannot be.", way_out="Give grams from 0 up.")


def _check_words(asked: Asked) -> None:
    sitting_limit(asked.purpose)
    for what, value, known in (("way of serving", asked.way, WAYS), ("way of coding", asked.coded, CODED)):
        if value not in known:
            raise BadInput(f"{value!r} is not a {what}.", way_out=f"Use {' or '.join(known)}.")
    if asked.way == "row" and asked.coded == "cup":
        raise BadInput(
            "In one row for all each bowl has one code, not each taster's cup.",
            way_out="Code brews, or serve private cups.",
        )


def _check_room(asked: Asked) -> None:
    limit, bridges = asked.cups_at_most, len(asked.bridges)
    if limit < 2:
        raise BadInput(
            f"A sitting of at most {limit} cups compares nothing.",
            way_out="Let a sitting take two cups or more.",
        )
    if bridges >= limit:
        raise BadInput(
            f"{bridges} bridge cups leave no place among the {limit} cups of a sitting.",
            way_out="Name fewer bridge teas, or let a sitting take more cups.",
        )
    if asked.sittings is not None:
        check_number("sittings", asked.sittings, 1, MOST_TEAS * MOST_REPLICATES)
    if asked.per_taster is not None:
        _check_per_taster(asked, asked.per_taster)
    cups = len(asked.tasters) * asked.replicates * (asked.per_taster or len(asked.samples))
    if cups > MOST_CUPS:
        raise BadInput(f"{cups} cups are more than {MOST_CUPS}.", way_out="Plan in parts.")


def _check_per_taster(asked: Asked, per_taster: int) -> None:
    check_number("samples for each taster", per_taster, 1, len(asked.samples))
    if asked.way == "row":
        raise BadInput(
            "Along one row for all every taster meets every bowl, so none can taste only a part.",
            way_out="Serve private cups (--orders private) with --per-taster.",
        )
    if asked.sittings is not None:
        raise BadInput(
            "With --per-taster the sittings are the replicates.",
            way_out="Give --replicates instead of --sittings.",
        )
    if per_taster + len(asked.bridges) > asked.cups_at_most:
        raise BadInput(
            f"{per_taster} samples and {len(asked.bridges)} bridge cups are more than the "
            f"{asked.cups_at_most} cups of a sitting.",
            way_out="Give each taster fewer, or let a sitting take more cups.",
        )
