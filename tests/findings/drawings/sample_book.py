"""A season's book made by hand, with the awkward cases in it. Everything here is invented.

`a_rich_book()` has two lots with scores, long names, names in four scripts, an untasted lot, one without an
overall, one without a last year; `a_wordless_book()` no intensity at all; `a_long_book()` sixty lots.
"""

import dataclasses
import datetime as dt
import math
from decimal import Decimal
from typing import Any

from wetleaf.findings.book import (
    AloneRow,
    Answer,
    Bar,
    Dot,
    Dropped,
    EmptiestRegion,
    Estimate,
    FactRow,
    FlightPage,
    Ground,
    Group,
    Ladder,
    LotPage,
    NextStep,
    Profile,
    ProfileRow,
    RangeMap,
    RankedLots,
    RankedRow,
    RemarkAsWritten,
    Rung,
    SeasonBook,
    Settling,
    Spot,
    TasterRow,
    TrialPair,
    Word,
)

MADE_ON = dt.date(2026, 6, 4)
GROUND = Ground(
    "g1",
    "How much is LU-07 liked?",
    "mixed model, tasters as a sample of tasters",
    "1.0",
    "9c41e07bd2f3a8805512",
    (
        ("18 answers, of 24 given", "Ilse 6, Teodor 6, Nanami 4, guest 2; blind, 2 and 3 June"),
        ("Two brews a lot, 3 g in 150 ml, 5 min", "Flight of 2 June, codes opened 11:32"),
        ("The offer sample, 50 g of 22 April", "books.xlsx, Lots!A5"),
        ("The producer’s parcel and sheet", "stated by producer"),
    ),
)
YEARS_GROUND = Ground("g2", "Is it last year’s tea?", "adjusted differences", "1.0", "77aa01", ())
FLIGHT_GROUND = Ground("g3", "Do the four differ?", "mixed model", "1.0", "a1b2c3", ())


def an_estimate(value: float, low: float, high: float, **more: Any) -> Estimate:
    """An estimate on 0 to 7 unless told otherwise."""
    return Estimate(value, low, high, more.pop("scale_low", 0), more.pop("scale_high", 7), **more)


def years_ladder() -> Ladder:
    """Last year's tea and this year's, seven stages, a word looked for and not found."""
    bars = (
        Bar("roast", an_estimate(3.9, 3.5, 4.3), an_estimate(5.1, 4.7, 5.5), "yes"),
        Bar("flower", an_estimate(2.7, 2.2, 3.2), an_estimate(1.6, 1.1, 2.1), "can't tell yet"),
    )
    return Ladder(
        "years",
        "The roast is about 1.2 stronger (0.6 to 1.8) and the orchid has gone from the wet leaf.",
        "Spring 2025",
        "kept sample · gone since",
        "Spring 2026",
        "LU-07 · new",
        (
            Rung(
                "dry_leaf",
                "Dry leaf",
                "before water",
                (Word("walnut shell", 2),),
                (Word("toasted grain", 3),),
            ),
            Rung(
                "warmed_leaf",
                "Warmed leaf",
                "in the warm pot",
                (),
                (Word("roasted chestnut", 5), Word("toast", 3)),
            ),
            Rung(
                "wet_leaf",
                "Wet leaf",
                "lid lifted, 6 min",
                (Word("orchid", 4),),
                (Word("roasted chestnut", 4), Word("smoke", 2, absent=True)),
                (Word("charred rice", 2),),
                bars,
            ),
            Rung("liquor_colour", "Liquor colour", "", (), (Word("amber", 3), Word("clear", 2))),
            Rung(
                "taste",
                "Taste",
                "at 55 °C",
                (Word("apricot", 2),),
                (Word("honey", 2),),
                (Word("caramel", 3),),
                bars[:1],
            ),
            Rung("mouthfeel", "Mouthfeel"),
            Rung(
                "finish",
                "Finish",
                "30 s after",
                (Word("returning sweetness", 3),),
                (Word("mineral", 3),),
                (Word("embers", 2),),
            ),
        ),
    )


def one_ladder() -> Ladder:
    """One tea, words only: a note that somebody typed."""
    return Ladder(
        "one",
        "One taster, one cup. The words stand; nothing was scored.",
        "",
        "",
        "Old Kiln Yard",
        "LU-09 · one taster, one cup",
        (
            Rung("dry_leaf", "Dry leaf", "", (), (), (Word("oat straw", 2), Word("raisin", 2))),
            Rung(
                "taste",
                "Taste",
                "",
                (),
                (),
                (Word("malt", 4), Word("焼き栗", 3), Word("mould", 2, absent=True)),
            ),
        ),
    )


def a_profile(lots: int = 2, *, tolerance: bool = True, scale_high: float = 7) -> Profile:
    """A profile of as many lots as wished, on a scale from 0."""
    labels = tuple(f"Lot {place + 1}" for place in range(lots))
    stretch = scale_high / 7
    rows = tuple(
        ProfileRow(
            attribute,
            tuple(
                Dot(
                    label,
                    None
                    if (attribute == "dryness" and place == 1)
                    else Estimate(
                        (base + place * 0.4) * stretch,
                        (base + place * 0.4 - 0.5) * stretch,
                        (base + place * 0.4 + 0.5) * stretch,
                        0,
                        scale_high,
                    ),
                    is_this=place == 0,
                )
                for place, label in enumerate(labels)
            ),
            (base - 0.6) * stretch if tolerance else None,
            (base + 0.6) * stretch if tolerance else None,
            Answer("Has it moved?", answer),
        )
        for attribute, base, answer in (
            ("roast", 4.5, "yes"),
            ("flower, as of an orchid in the evening", 1.6, "can't tell yet"),
            ("dryness", 2.0, "can't tell yet"),
            ("sweet", 4.2, "no"),
        )
    )
    return Profile(
        "Against the target",
        "Roast lies across the upper edge of what the house allows; the rest lies inside.",
        "taster and taster by lot random",
        0,
        scale_high,
        labels,
        rows,
        FLIGHT_GROUND,
        ("dryness: one lot was not scored",),
        "Ilse and Teodor tasted two pots of each lot; the answers are about these tasters only.",
    )


def a_lot(code: str = "LU-07", name: str = "Stone Basin 石盆", **changes: Any) -> LotPage:
    """A lot with everything known of it; change what the case is about."""
    lot = LotPage(
        code=code,
        name=name,
        anchor=f"lot-{code.lower()}",
        tea_class="oolong",
        line="Dong Ding, medium roast",
        producer="Widow Terrace Works",
        verdict="keep",
        tasted=True,
        origin="Lugu 鹿谷, 750 m",
        harvest="18 Apr",
        harvest_from=dt.date(2026, 4, 18),
        price_per_kg=Decimal("58.40"),
        currency="EUR",
        price_written="NT$1,200/jin",
        overall=an_estimate(5.6, 5.0, 6.1, ground=GROUND),
        chance_best=0.45,
        on_shortlist=True,
        last_year=Answer(
            "Is it last year’s tea?", "can't tell yet", "roast and flower moved", ground=YEARS_GROUND
        ),
        target=Answer("Within the target?", "can't tell yet", "roast lies on its edge"),
        gaps=("roast date", "residues", "cultivar"),
        doubts=("the label says 650 m",),
        brews_left=7,
        grams_left=Decimal("23"),
        leaf_warning="",
        offer_until=dt.date(2026, 6, 12),
        step=NextStep(
            "taste_again", "taste again: 2 brews beside LU-11, before 12 June", "two lots are level"
        ),
        say="Liked best of the five tasted, at 5.6 (5.0 to 6.1). "
        "About 1.2 more roast than last year’s (0.6 to 1.8).",
        answers=(
            Answer("Is it last year’s tea?", "can't tell yet", "roast and flower moved", ground=YEARS_GROUND),
            Answer("Better than Crane Step?", "no", "level, within half a step"),
            Answer("Do the papers add up?", "yes", "two facts are still missing"),
            Answer("Within the target?", None, not_asked="no target yet"),
        ),
        facts=(
            FactRow("Origin", "Lugu 鹿谷, Nantou", "producer’s sheet"),
            FactRow("Elevation", "750 m", "chat message", "The label on the parcel says 650 m."),
            FactRow("Roast date", "", "", "Needed to say whether the fire has settled."),
            FactRow("Price", "NT$1,200 a jin; 58.40 EUR a kg", "pro-forma", private=True),
            FactRow("Maker", "Widow Terrace Works", "producer’s sheet", private=True),
        ),
        letters=(
            (
                "English",
                "Good morning.\n1. Is the garden at 750 m or 650 m?\n2. On which day was the roast finished?",
            ),
            ("Traditional Chinese", "您好：\n1. 茶園海拔是 750 公尺還是 650 公尺？"),
            ("Simplified Chinese", "您好：\n1. 茶园海拔是 750 米还是 650 米？"),
            ("Japanese", "こんにちは。\n1. 茶園の標高は750 mですか、650 mですか。"),
        ),
        ladder=years_ladder(),
        profile=a_profile(),
        remarks=(
            RemarkAsWritten(
                "Chestnut stall in November. Then nothing, then stones.", "Ilse", "wet leaf, 2 June, blind"
            ),
            RemarkAsWritten("焼き栗、あとから岩っぽい", "Nanami", "taste, 2 June, blind"),
            RemarkAsWritten("<b>rosted chesnut!!</b> & no smoke", "guest", "wet leaf, 2 June, blind"),
        ),
        last_year_words=(Word("orchid", 4, 3), Word("chestnut", 3, 2)),
        this_year_words=(
            Word("chestnut", 4, 4),
            Word("charred rice", 2, 1),
            Word("smoke", 2, 1, absent=True),
        ),
        settle=(
            Settling(
                "Is it last year’s tea?",
                "four triangles with the kept sample",
                4,
                12,
                Decimal("12"),
                "before 12 June",
            ),
            Settling("Which roast?", "ask the producer; no cup can tell", when="today"),
        ),
        grounds=(GROUND, YEARS_GROUND),
    )
    return dataclasses.replace(lot, **changes)


def an_untasted_lot(code: str = "LU-15", name: str = "Second Roast of the Lower Sluice") -> LotPage:
    """A sample that came and waits: no cup, no price, no date."""
    return a_lot(
        code,
        name,
        verdict="",
        tasted=False,
        origin="",
        harvest="",
        harvest_from=None,
        price_per_kg=None,
        price_written="",
        overall=None,
        chance_best=None,
        on_shortlist=False,
        last_year=Answer("Is it last year’s tea?", None, not_asked="not tasted"),
        target=Answer("Within the target?", None, not_asked="not tasted"),
        gaps=("harvest", "price", "elevation"),
        doubts=(),
        brews_left=2,
        grams_left=Decimal("9"),
        leaf_warning="the last two brews are kept back",
        offer_until=None,
        step=NextStep("taste_again", "taste once, small bowl", "nothing is known of it yet"),
        say="Not tasted yet.",
        answers=(Answer("Is it last year’s tea?", None, not_asked="not tasted"),),
        facts=(FactRow("Origin", "", "", "Not said."),),
        letters=(),
        ladder=None,
        profile=None,
        remarks=(),
        last_year_words=(),
        this_year_words=(),
        settle=(),
        grounds=(),
    )


def a_flight() -> FlightPage:
    """A flight of four lots with a steady taster, a careless one and one who left early."""
    level = {"scale_low": -2, "scale_high": 2}
    return FlightPage(
        "Flight of 2 June",
        "flight-1",
        dt.date(2026, 6, 2),
        "blind, 3 g / 150 ml / 5 min, two brews a lot",
        "They differ in roast and flower. One taster gave the same cup two answers far apart.",
        ("LU-07 Stone Basin", "LU-11 Crane Step", "LU-09 Old Kiln Yard", "MJ-14 Lower Field"),
        (
            TasterRow(
                "Ilse",
                18,
                18,
                an_estimate(0.1, -0.3, 0.5, **level),
                "as the table",
                "0.4 apart",
                Answer("Steady?", "yes"),
                "agrees with the table",
                "0.91 (0.62 to 0.98)",
                "+0.12",
            ),
            TasterRow(
                "Wojciech-Emmanuel",
                18,
                18,
                an_estimate(-0.2, -0.9, 0.6, **level),
                "wider than the table",
                "1.9 apart",
                Answer("Steady?", "no"),
                "the same cup twice, far apart",
            ),
            TasterRow(
                "guest",
                4,
                18,
                None,
                "too few cups",
                "no cup twice",
                Answer("Steady?", "can't tell yet"),
                "too few cups",
            ),
        ),
        a_profile(4, tolerance=False),
        (a_trial_pair(),),
        ("Crane Step was preferred in 4 of 6 pairs: can’t tell yet.",),
        (FLIGHT_GROUND,),
        a_range_map(),
        ("Every taster counts the same.",),
        "of 100 directed pairs 76 are right at 1",
        (ranked_lots(),),
        (an_alone_row(), an_alone_row(name="guest", alike=None)),
    )


def a_trial_pair() -> TrialPair:
    """Two lots that can be told apart."""
    return TrialPair(
        ("LU-07", "LU-11"),
        Answer("Can Ilse and Teodor tell LU-07 and LU-11 apart?", "yes", ground=FLIGHT_GROUND),
        "9 of 14 triangles right, 4.7 by guessing (exact p 0.017)",
        Estimate(2.1, 0.7, 3.4, 0, 4),
        "2.1 (0.7 to 3.4)",
        ("These two tasters only: Ilse can tell.",),
        "",
    )


def ranked_lots() -> RankedLots:
    """Three lots by their pairs."""
    rows = tuple(
        RankedRow(f"LU-{code}", Estimate(value, value - 0.9, value + 0.9, -2, 2), chance, "4 won, 2 lost")
        for code, value, chance in (("07", 0.8, 0.6), ("11", 0.1, 0.3), ("09", -0.9, 0.1))
    )
    return RankedLots(
        "Dong Ding",
        Answer("Which is the best of three lots, by pairs?", "can't tell yet", "LU-07 leads", ground=GROUND),
        rows,
        "Strength against the mean of these lots.",
        "Brew LU-07 again beside LU-11.",
    )


def an_alone_row(**changes: Any) -> AloneRow:
    """One taster over the season."""
    row = AloneRow(
        "Ilse",
        "blind, on 0 to 7",
        14,
        "0.5 (0.4 to 0.8)",
        Estimate(0.8, 0.5, 0.9, 0, 1),
        Answer("Is Ilse steady?", "yes", ground=GROUND),
        "At least one half, and clearly more than chance.",
    )
    return dataclasses.replace(row, **changes)


def a_range_map(*, ellipses: bool = True, gap: bool = True) -> RangeMap:
    """Six lots: one kept in an earlier year, four for a line, one other, two of them close together."""
    nan = math.nan
    places = [
        ("LU-07", "Stone Basin 石盆", "line", -2.0, 1.0),
        ("LU-11", "Crane Step 鶴階", "line", -1.8, 0.9),
        ("LU-09", "Old Kiln Yard", "line", 2.4, 1.2),
        ("MJ-14", "Lower Field", "other", 1.9, -1.6),
        ("JJ-01", "Black Wall 검은담", "line", -1.2, -1.5),
        ("DD-25", "Dong Ding, medium roast, 2025", "kept", -2.4, 0.4),
    ]
    return RangeMap(
        "Where they stand",
        "The gap lies between LU-09, MJ-14 and JJ-01; a lot there would have about 3.1 roast and 4.0 body.",
        tuple(
            Spot(
                code,
                name,
                kind,  # type: ignore[arg-type]
                x,
                y,
                *((0.9, 0.5, 0.4) if ellipses else (nan, nan, nan)),
                "LU-11 (0.4 points an attribute, 0.0 to 0.9; the nearest 8 times in 10)",
            )
            for code, name, kind, x, y in places
        ),
        EmptiestRegion(0.6, 0.1, 1.6, "nobody here") if gap else None,
        "more flower, less roast",
        "more roast, less flower",
        "less body",
        "more body",
        "The two directions carry 81 % of what sets the lots apart.",
        ("Nearest to DD-25, kept for Dong Ding in 2025: LU-07 (0.4 points an attribute, 0.0 to 0.9).",),
        FLIGHT_GROUND,
    )


def a_rich_book(*, shown_private: bool = True) -> SeasonBook:
    """Three groups: five lots in a line, one line of one lot, and lots that no line waits for."""
    dong_ding = (
        a_lot(),
        a_lot(
            "LU-11",
            "Crane Step 鶴階",
            verdict="keep",
            overall=an_estimate(5.3, 4.7, 5.9),
            chance_best=0.38,
            gaps=(),
        ),
        a_lot(
            "LU-09",
            "Old Kiln Yard",
            verdict="maybe",
            overall=an_estimate(4.8, 3.5, 5.9),
            chance_best=0.12,
            ladder=one_ladder(),
            profile=None,
        ),
        a_lot(
            "MJ-14",
            "Lower Field",
            verdict="no",
            overall=an_estimate(3.2, 2.5, 3.9),
            chance_best=0.0,
            on_shortlist=False,
            last_year=Answer("Is it last year’s tea?", "no"),
        ),
        an_untasted_lot(),
    )
    green = (
        a_lot(
            "JJ-01",
            "Black Wall 검은담",
            line="Green for every day",
            tea_class="green",
            last_year=Answer("Is it last year’s tea?", "yes"),
            step=NextStep("nothing_against", "nothing here stands against buying", "as last year"),
        ),
    )
    loose = (
        a_lot(
            "UJ-03",
            "さえみどり of the Walnut Stone 胡桃石",
            tea_class="green",
            line="",
            last_year=Answer("Is it last year’s tea?", None, not_asked="no last year"),
        ),
        a_lot(
            "A-VERY-LONG-CODE-2026/17",
            "Ninth Terrace above the Pear Orchard, second picking of the upper field, rolled, light roast",
            line="",
            origin="Nyungwe edge of the southern district, 2,150 m",
            overall=None,
            chance_best=None,
            verdict="",
            step=NextStep(
                "ask", "ask the producer for harvest day, elevation and this year’s residue paper", "papers"
            ),
        ),
    )
    return SeasonBook(
        season="Spring 2026",
        before="Spring 2025",
        is_invented=True,
        made_on=MADE_ON,
        shown_private=shown_private,
        say="Eight samples came; seven are tasted. For Dong Ding, which of two is the better can’t be "
        "told yet; six more cups should say.",
        groups=(
            Group(
                "Dong Ding, medium roast 凍頂",
                "oolong",
                Decimal("18"),
                "Two stand out. Which is better: can’t tell yet.",
                dong_ding,
            ),
            Group("Green for every day", "green", Decimal("25"), "Settled: it is last year’s tea.", green),
            Group("No line yet", "green", None, "One asks for a place on the shelf.", loose),
        ),
        flights=(a_flight(),),
        dropped=(
            Dropped("Scores", "D5", "6.5?", "a question mark stands in the cell; read as 6.5", "warn"),
            Dropped("Scores", "D9", "n/a, later", "no number", "error"),
            Dropped("Lots", "B2 and 3 more cells", " Lugu", "spaces taken off", "info", 4),
        ),
        twins=("UJ-03 and JJ-01 give the same garden, day and price: the same tea from two agents?",),
        grounds=(GROUND, YEARS_GROUND, FLIGHT_GROUND),
        version="0.1.0",
    )


def a_wordless_book() -> SeasonBook:
    """A season of verdicts and free words: no liking, no score, no last year, no flight."""
    lots = tuple(
        a_lot(
            f"W-{place}",
            f"Notebook lot {place}",
            overall=None,
            chance_best=None,
            last_year=Answer("Is it last year’s tea?", None, not_asked="no last year"),
            target=Answer("Within the target?", None, not_asked="no target"),
            ladder=one_ladder(),
            profile=None,
            grounds=(),
        )
        for place in range(1, 5)
    )
    group = Group("Oolong", "oolong", None, "Four notes, no scores: words can be read, not ranked.", lots)
    return dataclasses.replace(
        a_rich_book(), before="", groups=(group,), flights=(), dropped=(), twins=(), grounds=()
    )


def a_one_lot_book() -> SeasonBook:
    """A season of one lot."""
    group = Group("Oolong", "oolong", None, "One sample came.", (a_lot(),))
    return dataclasses.replace(a_rich_book(), groups=(group,), flights=())


def a_long_book(lots: int = 60) -> SeasonBook:
    """Sixty lots in five lines."""
    groups = tuple(
        Group(
            f"Line {line}",
            "oolong",
            Decimal("10"),
            "A dozen, level.",
            tuple(a_lot(f"L{line}-{place:02}", f"Terrace {line}, row {place}") for place in range(lots // 5)),
        )
        for line in range(1, 6)
    )
    return dataclasses.replace(a_rich_book(), groups=groups)
