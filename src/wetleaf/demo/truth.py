"""What was planted in the invented season, so that a test can ask whether the book finds it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Planted:
    """One planted thing: what it is, which lot or person, and the answer an honest book gives."""

    what: str
    subject: str
    answer: str


PLANTED = (
    Planted("last year's equal", "IL-01", "yes"),
    Planted("drifted from last year", "RK-07", "no"),
    Planted("kept in the cupboard", "GN-01", "can't tell yet"),
    Planted("papers do not add up", "GN-02", "doubts"),
    Planted("the cups cannot decide", "RK-03", "can't tell yet"),
    Planted("two fires told apart", "RK-01, RK-02", "yes"),
    Planted("steady alone over the season", "Wren", "yes"),
    Planted("one tea under two names", "FD-02, FD-04", "twins"),
    Planted("careless taster", "Bo", "no"),
    Planted("uses half of the scale", "Mirre", "half"),
)

BUYER = "Wren"

# Cells that the second workbook gets wrong on purpose, and that its buyer chose to leave out.
LEFT_OUT_2026 = ("Rock tea 14 Oct!F9",)
