"""The faces of type, cut from open font packages to the signs a page needs, as WOFF2.

Latin from Source Serif 4 and Source Sans Pro, Chinese, Japanese and Korean from Noto Sans CJK, all under the
SIL Open Font License. A sign that none of them has is named, so that nobody finds an empty box in print.
"""

import io
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

SERIF, SANS, EAST = "Leaf Serif", "Leaf Sans", "Leaf East"
# What the pages ask of a face: marks in place, ligatures, figures for columns and for reading, local forms.
_FEATURES = ("kern", "mark", "mkmk", "ccmp", "locl", "liga", "calt", "lnum", "onum", "tnum", "pnum")
_UNSEEN = {"\n", "\r", "\t", "\u00ad", "\u200b", "\u200c", "\u200d", "\ufe0e", "\ufe0f"}


@dataclass(frozen=True)
class Face:
    """One font file of a package, and how a style sheet names it."""

    key: str
    package: str
    file: str
    family: str
    style: str
    weight: str


FACES = (
    Face("serif-roman", "fontpkg_source_serif_4", "SourceSerif4[opsz,wght].ttf", SERIF, "normal", "200 900"),
    Face(
        "serif-italic",
        "fontpkg_source_serif_4",
        "SourceSerif4-Italic[opsz,wght].ttf",
        SERIF,
        "italic",
        "200 900",
    ),
    Face("sans-400", "font_source_sans_pro", "SourceSansPro-Regular.ttf", SANS, "normal", "400"),
    Face("sans-600", "font_source_sans_pro", "SourceSansPro-Semibold.ttf", SANS, "normal", "600"),
    Face("east", "cvttf_NotoSansCJK_Regular", "NotoSansCJKtc-Regular.otf", EAST, "normal", "400"),
)
FACE_BY_KEY = {face.key: face for face in FACES}


@dataclass(frozen=True)
class CutFace:
    """A face with only the signs asked for."""

    face: Face
    woff2: bytes


def cut_faces(signs: Iterable[str]) -> tuple[tuple[CutFace, ...], frozenset[str]]:
    """Cut every face to these signs; return the faces that hold any, and the signs that no face has.

    The eastern face holds only what the Latin ones lack. Raises nothing when a package is missing: its face
    is left out and the reader's own fonts are used.
    """
    wanted = frozenset(signs) - _UNSEEN
    serif, sans, east = (_signs_of(key) for key in ("serif-roman", "sans-400", "east"))
    eastern = wanted - (serif & sans)
    cuts = []
    for face in FACES:
        held = (eastern if face.family == EAST else wanted) & _signs_of(face.key)
        if held:
            cuts.append(CutFace(face, cut_face(face, held)))
    return tuple(cuts), wanted - serif - sans - east


def cut_face(face: Face, signs: Iterable[str]) -> bytes:
    """Cut one face to these signs, with its features, as WOFF2; FileNotFoundError without its package."""
    return _cut(face, frozenset(signs))


@lru_cache(
    maxsize=16
)  # a season's book is bound again and again with the same signs, and cutting takes seconds
def _cut(face: Face, signs: frozenset[str]) -> bytes:
    from fontTools.subset import Options, Subsetter, load_font, save_font

    options = Options()
    options.flavor = "woff2"
    options.layout_features = list(_FEATURES)
    options.name_IDs = ["*"]  # who made it and its licence travel with it; to choose among names takes longer
    options.notdef_outline = True
    with closing(load_font(str(_file_of(face)), options)) as font:
        subsetter = Subsetter(options)
        subsetter.populate(unicodes=[ord(sign) for sign in signs])
        subsetter.subset(font)
        cut = io.BytesIO()
        save_font(font, cut, options)
    return cut.getvalue()


@lru_cache(maxsize=8)
def _signs_of(key: str) -> frozenset[str]:
    from fontTools.ttLib import TTFont

    try:
        file = _file_of(FACE_BY_KEY[key])
    except FileNotFoundError:
        return frozenset()
    with TTFont(file, lazy=True) as font:
        return frozenset(map(chr, font.getBestCmap()))


def _file_of(face: Face) -> Path:
    spec = find_spec(face.package)
    for folder in spec.submodule_search_locations if spec and spec.submodule_search_locations else ():
        for found in (Path(folder) / "files" / face.file, Path(folder) / face.file):
            if found.exists():
                return found
    raise FileNotFoundError(f"{face.file} of {face.package} is not installed.")
