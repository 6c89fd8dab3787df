"""Who is meant by a written name, and how a taster comes onto the books."""

from collections.abc import Iterable, Mapping

from wetleaf.people.models import Taster, WrittenName
from wetleaf.trade.errors import BadInput

BUYER_NAME = "the buyer"
"""The name of the buyer until one is given; sheets that name nobody are the buyer's own."""


def the_buyer() -> Taster:
    """Return the buyer, who answers for rows that name nobody; made on first need."""
    return Taster.objects.filter(is_buyer=True).first() or taster_named(BUYER_NAME)


def name_the_buyer(name: str) -> Taster:
    """Say who the buyer is, so that rows which name nobody are that person's.

    Raises BadInput when somebody else is the buyer already, or when rows were stored for a nameless buyer
    while a taster of that name has rows too: whose they are must then be said by a person.
    """
    given = name.strip()
    buyer = Taster.objects.filter(is_buyer=True).first()
    if buyer is None:
        buyer = taster_named(given)
    elif buyer.name != given:
        if buyer.name != BUYER_NAME or Taster.objects.filter(name=given).exists():
            raise BadInput(
                f"the buyer of these books is {buyer.name!r}, not {given!r}.",
                way_out="Leave the name out, or start a workspace of your own.",
            )
        buyer.name = given
    buyer.is_buyer = True
    buyer.save(update_fields=["name", "is_buyer"])
    return buyer


def taster_named(name: str, *, also_written: Iterable[str] = (), invented: bool = False) -> Taster:
    """Return the taster a name stands for, as name or as known spelling, and make one if there is none.

    The further spellings are remembered. Raises BadInput for an empty name.
    """
    given = name.strip()
    if not given:
        raise BadInput("a taster without a name cannot be kept.", way_out="Give the name.")
    return tasters_named({given: tuple(also_written)}, invented=invented)[given]


def tasters_named(spellings: Mapping[str, Iterable[str]], *, invented: bool = False) -> dict[str, Taster]:
    """Return the tasters of many names, each with its further spellings; see `taster_named`."""
    known = _known_spellings()
    return {name: _found_or_made(name, written, known, invented) for name, written in spellings.items()}


def _known_spellings() -> dict[str, Taster]:
    known = {row.written: row.taster for row in WrittenName.objects.select_related("taster")}
    return known | {taster.name: taster for taster in Taster.objects.all()}


def _found_or_made(name: str, written: Iterable[str], known: dict[str, Taster], invented: bool) -> Taster:
    # Only the very same spelling is the same person: "Ruth K." is Ruth when a sheet or the buyer has said so.
    taster = known.get(name)
    if taster is None:
        taster, _ = Taster.objects.get_or_create(
            name=name, defaults={"is_buyer": name == BUYER_NAME, "is_invented": invented}
        )
        known[name] = taster
    for spelling in dict.fromkeys(text.strip() for text in written):
        if spelling and spelling not in known:
            row, _ = WrittenName.objects.get_or_create(written=spelling, defaults={"taster": taster})
            known[spelling] = row.taster
    return taster
