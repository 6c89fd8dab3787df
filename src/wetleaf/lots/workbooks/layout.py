"""The workbook that wetleaf itself writes: its sheets, their columns, and what each column is for.

The template and the export share it. Every head is a way of writing that `headers.toml` knows.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from wetleaf.trade.stages import NextStep


@dataclass(frozen=True)
class Field:
    """A column: the field it holds, its head, what it is for, and the words its drop-down offers."""

    field: str
    head: str
    means: str
    choices: tuple[str, ...] = ()
    width: int = 14


STAGES = (
    "dry leaf",
    "warmed leaf",
    "wet leaf",
    "liquor colour",
    "liquor aroma",
    "taste",
    "mouthfeel",
    "finish",
    "empty cup",
    "infused leaf",
)
_DEGREES = ("none", "light", "light-medium", "medium", "medium-heavy", "heavy")
_OXIDATION = ("none", "low", "light", "part", "medium", "high", "full")
_CLASSES = ("green", "white", "yellow", "oolong", "black", "dark")

LOTS = (
    Field("code", "Lot", "Your code for the lot, each only once. Invented example: QP-3"),
    Field("name", "Tea", "The tea's name. Invented example: Quarry Pond red", width=28),
    Field("producer", "Maker", "Who made it. Stays private.", width=20),
    Field("region", "Where", "Place and district. Invented example: Quarry Pond, Yuchi", width=20),
    Field("elev", "Elevation (m)", "Metres above the sea: 750, 600-800 m, or 4,600 ft"),
    Field(
        "harvest",
        "Picked",
        "As precisely as it is known: 2025-04-18, 18-21 Apr 2025, late April 2025, spring 2025",
        width=18,
    ),
    Field("season", "Season", "The flush or season as the maker calls it"),
    Field("tea_class", "Class", "Green, white, yellow, oolong, black or dark", _CLASSES),
    Field("line", "For line", "The line of the shop that it may fill"),
    Field("cv", "Cultivar", "The bush, as the maker says"),
    Field("ox", "Oxidation", "A word, or the maker's percentage: 25%, 20-25%", _OXIDATION),
    Field("roast", "Roast", "A word: none, light, medium, heavy", _DEGREES),
    Field("price", "Price", "Money and weight: NT$1200/600 g, 38.50 GBP/kg. Stays private.", width=18),
    Field("moq", "MOQ", "The smallest order, with its unit: 2 kg, 600 g"),
    Field("avail", "Available", "What can be had, with its unit: 18 kg"),
    Field("offer_until", "Offer until", "The last day of the offer"),
    Field("hold", "Asked to hold", "What was asked to be held, and till when"),
    Field("deposit", "Deposit", "What was paid down"),
    Field("markup", "Our markup %", "A number"),
    Field("sample_grams", "Sample grams", "What arrived, in grams: 25 g"),
    Field("sample_received", "Sample received", "The day it arrived"),
    Field("grade", "Grade", "The leaf's grade"),
    Field("invoice", "Invoice", "The invoice's number"),
    Field("garden_mark", "Garden mark", "The mark on the chest"),
    Field("vintage", "Vintage", "The year of the tea, if it is aged"),
    Field("press_year", "Press year", "The year it was pressed"),
    Field("opened", "Date opened", "The day the parcel was opened"),
    Field("kept", "How kept", "Where and in what"),
    Field("weather", "Weather", "The weather of the harvest", width=20),
    Field("roast_date", "Roast date", "The day of the last roast"),
    Field("firing", "Firing notes", "Roasts and rests, with their dates", width=20),
    Field("competition", "Competition rank", "Contest and rank"),
    Field("organic", "Organic", "Certificate and its number"),
    Field("residue", "Residue test", "Laboratory, date, result"),
    Field("parent", "Parent lot", "The code of the lot it was made from"),
    Field(
        "making",
        "Making",
        "Split, re-roast, sort, blend or repack",
        ("split", "re-roast", "sort", "blend", "repack"),
    ),
    Field("loss", "Loss %", "What the making cost in weight, a number"),
    Field(
        "sample_kind",
        "Sample kind",
        "offer, roast trial, pre-shipment, arrival or kept",
        ("offer", "roast trial", "pre-shipment", "arrival", "kept"),
    ),
    Field("contact", "Contact", "Stays private."),
    Field("claims", "What they say", "The maker's own words", width=40),
)
SCORES = (
    Field("sitting", "Sitting", "The sitting's name, as on the sheet Sittings", width=20),
    Field("taster", "Taster", "Who scored, spelled the same way each time"),
    Field("sample", "Sample", "The lot's code"),
    Field("stage", "Stage", "Where in the tasting", STAGES),
    Field("attribute", "Attribute", "What was scored. Invented example: sweetness"),
    Field("replicate", "Replicate", "1, 2, ... when a sample was brewed more than once"),
    Field("brew", "Brew", "The brew that the cup was poured from"),
    Field("score", "Score", "A number on the scale in the title; leave it empty if not tasted"),
)
FIRST_PASS = (
    Field("sample", "Sample", "The lot's code"),
    Field("taster", "Taster", "Who says so"),
    Field("verdict", "Verdict", "keep, maybe or no", ("keep", "maybe", "no")),
    Field("liking", "Liking", "A number on the scale in the title"),
    Field("sitting", "Sitting", "The sitting's name, if it was one", width=20),
    Field("date", "Date", "The day"),
    Field("words", "Words", "Your words; three will do", width=40),
)
SAMPLES = (
    Field("sample", "Sample", "The code of the packet. Invented example: QP-3/arrival"),
    Field("lot", "Lot", "The code of its lot; empty if it is the same"),
    Field(
        "kind",
        "Kind",
        "offer, roast trial, pre-shipment, arrival or kept",
        ("offer", "roast trial", "pre-shipment", "arrival", "kept"),
    ),
    Field("season", "Season", "Only if the lot is of another season", width=20),
    Field("received", "Received", "The day it arrived"),
)
NOTES = (
    Field("sitting", "Sitting", "The sitting's name", width=20),
    Field("taster", "Taster", "Who wrote it"),
    Field("sample", "Sample", "The lot's code"),
    Field("stage", "Stage", "Where in the tasting", STAGES),
    Field("text", "Note", "As written", width=60),
)
PAIRS = (
    Field("taster", "Taster", "Who tasted"),
    Field("a", "A", "The code of the first"),
    Field("b", "B", "The code of the second"),
    Field("preferred", "Preferred", "A, B, a code, or = for no preference"),
    Field("why", "Why", "In a few words", width=30),
)
TRIANGLES = (
    Field("taster", "Taster", "Who tasted"),
    Field("cup1", "Cup 1", "The code in the cup"),
    Field("cup2", "Cup 2", "The code in the cup"),
    Field("cup3", "Cup 3", "The code in the cup"),
    Field("odd", "Odd cup", "1, 2 or 3"),
    Field("picked", "Picked", "The cup that was picked: 1, 2 or 3", ("1", "2", "3")),
    Field("remark", "Remark", "Anything that spoiled the trial", width=30),
)
RETASTES = (
    Field("lot", "Lot", "The lot's code"),
    Field("roast_date", "Roasted on", "The day"),
    Field("taste_date", "Tasted on", "The day"),
    Field("days", "Days", "Leave it empty: it is counted from the two days"),
    Field("roast_aroma", "Roast aroma (0-10)", "How much of the fire is left", width=18),
    Field("ready", "Ready?", "wait, nearly or ready", ("wait", "nearly", "ready")),
    Field("remark", "Remark", "As written", width=30),
)
LEDGER = (
    Field("sample", "Sample", "The lot's code"),
    Field("grams", "Grams", "Into the tin, or out of it with a minus: -5"),
    Field("what", "What for", "Received, a brew, sent on, ..."),
    Field("date", "Date", "The day"),
)
LINES = (
    Field("name", "Line", "A tea that the shop keeps from year to year", width=24),
    Field("tea_class", "Class", "Its class", _CLASSES),
    Field("wanted_kg", "Wanted kg", "Kilos for the year"),
    Field("attribute", "Attribute", "One row an attribute that it should have"),
    Field("target", "Target", "On the scale of the scores"),
    Field("tolerance", "Tolerance", "What still passes for the same"),
)
SITTINGS = (
    Field("name", "Sitting", "A name for the sitting. Invented example: 12 May", width=24),
    Field("date", "Date", "The day"),
    Field("blind", "Blind", "yes or no", ("yes", "no")),
    Field("brewed", "Brewed", "Grams, millilitres, minutes", width=24),
    Field("purpose", "Purpose", "The question it was to answer", width=24),
    Field("scale", "Scale", "The ends of the scale: 0 to 10"),
)

DECISIONS = (
    Field("lot", "Lot", "The lot's code"),
    Field(
        "decided",
        "Decided",
        "keep, maybe, no, or a next step in words",
        ("keep", "maybe", "no", *(step.value for step in NextStep)),
    ),
    Field("why", "Why", "In a few words", width=40),
    Field("kilos", "Kilos", "Kilos to buy, if it was said"),
    Field("price", "Price", "With its currency and weight, if it was said: 1200 NT$/jin", width=20),
    Field("date", "Date", "The day"),
)

SHEETS: Mapping[str, tuple[Field, ...]] = {
    "Lots": LOTS,
    "First pass": FIRST_PASS,
    "Scores": SCORES,
    "Samples": SAMPLES,
    "Notes": NOTES,
    "A-B": PAIRS,
    "Triangle": TRIANGLES,
    "Re-taste": RETASTES,
    "Leaf": LEDGER,
    "Lines": LINES,
    "Sittings": SITTINGS,
    "Decisions": DECISIONS,
}
TITLES: Mapping[str, str] = {
    "Scores": "Scale 0 to 10",
    "First pass": "Liking on a scale 0 to 10",
    "Samples": "What arrived of each lot",
    "Notes": "As written",
    "A-B": "Two cups side by side",
    "Triangle": "Two cups alike, one odd",
    "Re-taste": "After a roast",
    "Leaf": "Grams of the samples",
    "Lines": "What the shop keeps",
    "Sittings": "When, how, on which scale",
    "Decisions": "What was decided of each lot, by hand",
}
