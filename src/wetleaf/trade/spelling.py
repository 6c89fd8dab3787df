"""How names are compared: one folding of case, accents, signs and scripts, used by every table's lookup."""

import re
import unicodedata
from functools import lru_cache

from wetleaf.trade.tables import toml_table

# Different writings of one sign (traditional, Japanese, simplified) are folded to one.
_TO_ONE_SCRIPT = str.maketrans({pair[0]: pair[1] for pair in toml_table("signs.toml")["pairs"].split()})
_LATIN_ACCENTS = re.compile(r"[\u0300-\u036f]")
_NOT_A_WORD = re.compile(r"[\W_]+")
_EASTERN = r"\u3040-\u30ff\u3400-\u4dbf\u4e00-\u9fff"
_EAST_MEETS_WEST = re.compile(rf"(?<=[{_EASTERN}])(?=[^\s{_EASTERN}])|(?<=[^\s{_EASTERN}])(?=[{_EASTERN}])")


def fold(text: str) -> str:
    """Return the text as it is compared: one case, no accents, one script, single spaces.

    >>> fold("Jin-Xuan"), fold("  ÉTÉ "), fold("台茶12號")
    ('jin xuan', 'ete', '台茶 12 号')
    """
    plain = unicodedata.normalize("NFD", unicodedata.normalize("NFKC", text).casefold())
    # Only Latin accents go; the voicing marks of kana must stay (NFC puts them back on their sign).
    plain = unicodedata.normalize("NFC", _LATIN_ACCENTS.sub("", plain)).translate(_TO_ONE_SCRIPT)
    spaced = _EAST_MEETS_WEST.sub(" ", plain.replace("'", "").replace("’", ""))
    return _NOT_A_WORD.sub(" ", spaced).strip()


def squash(text: str) -> str:
    """Return the folded text without spaces: the key under which a name is looked up.

    >>> squash("Jin Xuan") == squash("jinxuan") == squash("JIN-XUAN")
    True
    """
    return fold(text).replace(" ", "")


def mentions(folded_text: str, folded_words: str) -> bool:
    """Tell whether folded words stand in a folded text: as whole words, or anywhere if in Eastern signs.

    >>> mentions("a red oolong", "red"), mentions("covered", "red"), mentions("冻顶乌龙茶", "乌龙")
    (True, False, True)
    """
    if not folded_words:
        return False
    if is_eastern(folded_words):
        return folded_words.replace(" ", "") in folded_text.replace(" ", "")
    return f" {folded_words} " in f" {folded_text} "


@lru_cache(maxsize=16_384)  # the names of every table are asked about again and again
def is_eastern(text: str) -> bool:
    """Tell whether a text holds Chinese signs or kana, which are written without spaces."""
    return re.search(f"[{_EASTERN}]", text) is not None


def without(folded_text: str, folded_words: str) -> str:
    """Return the folded text with every standing of the folded words blanked out.

    >>> without("tin gate 乌龙 茶", "乌龙"), without("a red oolong", "oolong")
    ('tin gate | 茶', 'a red |')
    """
    if is_eastern(folded_words):
        signs = r"\s*".join(re.escape(sign) for sign in folded_words.replace(" ", ""))
        return " ".join(re.sub(signs, " | ", folded_text).split())
    return f" {folded_text} ".replace(f" {folded_words} ", " | ").strip()
