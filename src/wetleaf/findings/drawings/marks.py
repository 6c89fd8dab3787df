"""The marks that tell lots apart in a picture: by shape and by fill, never by colour alone."""

from wetleaf.findings.drawings.svg import element, words

MOST_SHAPES = 6
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def mark(place: int, of: int, x: float, y: float, *, is_this: bool = False) -> str:
    """Draw the mark of the lot at `place` among `of`: six shapes, or letters when there are more lots.

    `is_this` is the lot the page is about: the same mark in the accent.
    """
    if of > MOST_SHAPES:
        return _letter(place, x, y, is_this=is_this)
    look = "dot now" if is_this else ("dot open" if place % 2 else "dot")
    return _SHAPES[place // 2](x, y, look)


def _circle(x: float, y: float, look: str) -> str:
    return element("circle", class_=look, cx=x, cy=y, r=4 if "open" in look else 4.6)


def _square(x: float, y: float, look: str) -> str:
    return element("rect", class_=look, x=x - 4, y=y - 4, width=8, height=8)


def _triangle(x: float, y: float, look: str) -> str:
    return element("path", class_=look, d=f"M{x:.1f} {y - 5.2:.1f}L{x + 5:.1f} {y + 3.8:.1f}H{x - 5:.1f}Z")


def _letter(place: int, x: float, y: float, *, is_this: bool) -> str:
    name = letter_of(place)
    solid = is_this or place % 2 == 0
    return element(
        "circle", class_="dot now" if is_this else ("dot" if solid else "dot open"), cx=x, cy=y, r=7
    ) + (
        element(
            "text", words(name), class_="inmark" if solid else "onmark", x=x, y=y + 3.4, text_anchor="middle"
        )
    )


def letter_of(place: int) -> str:
    """Name a place by a letter, and by two from the twenty-seventh on.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('A', 'Z', 'AA')
    """
    before, now = divmod(place, len(_LETTERS))
    return (letter_of(before - 1) if before else "") + _LETTERS[now]


_SHAPES = (_circle, _square, _triangle)
