"""The decision book bound into one file: styles, faces, pictures and one small script in a single page.

The file opens from a disk and asks no other machine for anything; its own content policy names the digests of
its style and its script, so nothing else could run. Makers and prices are in it only when asked for.
"""

import base64
import hashlib
import re
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from html import unescape
from pathlib import Path

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe

from wetleaf.findings.arranging import lot_table, without_private
from wetleaf.findings.book import Answer, Estimate, Ground, LotPage, Profile, SeasonBook
from wetleaf.findings.faces import CutFace, cut_faces
from wetleaf.findings.places import PlacesInOneFile
from wetleaf.trade.questions import LANGUAGES

STYLES = ("site/tokens.css", "site/views.css", "site/print.css")
SCRIPT = "findings/sorting.js"
ENGLISH = LANGUAGES["en"].name
_TAG = re.compile(r"<[^>]*>")
# Plain letters and the house's own signs are always in: the faces of most books are then the same.
_ALWAYS = "".join(map(chr, range(0x20, 0x7F))) + "’‘“”–—…·×°±−½¼é\u00a0"


@dataclass(frozen=True)
class BoundBook:
    """The page, and the signs in it that none of the packed faces can show."""

    html: str
    signs_without_a_face: frozenset[str]


def bind(book: SeasonBook, *, private: bool = False) -> BoundBook:
    """Bind a book into one page. Without `private` makers and prices are not in the file at all."""
    shown = book if private and book.shown_private else without_private(book)
    style_goes, script_goes, policy_goes = (secrets.token_hex(16) for _ in range(3))
    bare = _page(shown, style=style_goes, script=script_goes, policy=policy_goes)
    faces, lacking = cut_faces({*unescape(_TAG.sub(" ", bare)), *_ALWAYS})
    style = face_rules(faces) + "".join(_text_of(name) for name in STYLES)
    script = _text_of(SCRIPT)
    # The faces are cut to the signs of the page, so they come when it is written: writing it twice is slow.
    page = bare.replace(policy_goes, content_policy(style, script), 1)
    return BoundBook(page.replace(style_goes, style, 1).replace(script_goes, script, 1), lacking)


def face_rules(faces: Iterable[CutFace]) -> str:
    """Write faces as rules of a style sheet, the files themselves inside."""
    return "".join(
        f'@font-face{{font-family:"{cut.face.family}";font-style:{cut.face.style};font-weight:{cut.face.weight};'
        f"font-display:swap;src:url(data:font/woff2;base64,{base64.b64encode(cut.woff2).decode()})"
        f' format("woff2")}}\n'
        for cut in faces
    )


def content_policy(style: str, script: str) -> str:
    """The policy of the file: this one style, this one script, and nothing from anywhere.

    >>> content_policy("", "")[:19]
    "default-src 'none';"
    """
    return (
        f"default-src 'none'; style-src {_digest(style)}; script-src {_digest(script)}; "
        "font-src data:; img-src data:; base-uri 'none'; form-action 'none'"
    )


def citations(book: SeasonBook) -> tuple[tuple[Ground, tuple[tuple[str, str], ...]], ...]:
    """Every ground of the book with the pages that cite it, as (anchor, name), in the order of the book."""
    cited: dict[str, dict[str, str]] = {}
    grounds = {ground.key: ground for ground in book.grounds}
    for anchor, name, own in _pages(book):
        for ground in own:
            grounds.setdefault(ground.key, ground)
            cited.setdefault(ground.key, {})[anchor] = name
    return tuple((ground, tuple(cited.get(key, {}).items())) for key, ground in grounds.items())


def letters_to_send(book: SeasonBook) -> tuple[tuple[LotPage, tuple[tuple[str, str], ...]], ...]:
    """What is printed to be sent: each lot's letter in its producer's language, and in English beside it."""
    return tuple(
        (lot, tuple(one for place, one in enumerate(lot.letters) if place == 0 or one[0] == ENGLISH))
        for lot in book.lots
        if lot.letters
    )


def _pages(book: SeasonBook) -> list[tuple[str, str, list[Ground]]]:
    lots = [
        (
            lot.anchor,
            f"{lot.code} {lot.name}",
            [
                *lot.grounds,
                *_grounds_of(lot.overall, lot.profile, *lot.answers, lot.last_year, lot.target),
            ],
        )
        for lot in book.lots
    ]
    flights = [
        (
            flight.anchor,
            flight.name,
            [*flight.grounds, *_grounds_of(flight.profile)],
        )
        for flight in book.flights
    ]
    return lots + flights


def _grounds_of(*told: Estimate | Profile | Answer | None) -> list[Ground]:
    return [one.ground for one in told if one is not None and one.ground is not None]


def _page(book: SeasonBook, *, style: str, script: str, policy: str) -> str:
    return render_to_string(
        "findings/book.html",
        {
            "book": book,
            "table": lot_table(book),
            "places": PlacesInOneFile(),
            "grounds": citations(book),
            "letters": letters_to_send(book),
            "in_file": True,
            "policy": mark_safe(policy),
            # Both are files of this package; the digests in the policy hold for exactly these texts.
            "style": mark_safe(style),
            "script": mark_safe(script),
        },
    )


def _text_of(name: str) -> str:
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(f"{name} is missing from the installed package: install wetleaf again.")
    return Path(found).read_text("utf-8")


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
