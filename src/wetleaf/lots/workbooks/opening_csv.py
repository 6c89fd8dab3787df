"""CSV to a grid: which encoding and which separator, told by whether the words make sense, then rows of text.

A byte-order mark settles the encoding; so does valid UTF-8. The rest are tried in turn, and the
one whose text looks most like words wins: known column heads, letters beside letters of their own
script, no odd signs.
"""

import csv
import io
import re
import unicodedata
from collections import Counter
from collections.abc import Sequence

from wetleaf.lots.workbooks.containers import MOST_CELLS, MOST_COLUMNS, too_many
from wetleaf.lots.workbooks.grid import Grid, GridCell, Workbook
from wetleaf.lots.workbooks.headings import all_ways, fold
from wetleaf.lots.workbooks.other_text import refuse_other_text
from wetleaf.trade.errors import BadInput

CANDIDATES = ("cp1252", "cp932", "gb18030", "big5", "big5hkscs", "euc_jp", "euc_kr", "cp1250", "mac_roman")
SEPARATORS = (",", ";", "\t", "|")
_MARKS = (
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
# The signs most often seen in price lists, for telling Chinese and Japanese from chance signs.
_COMMON = frozenset(
    "茶名品种種产產地区區海拔价價格元斤公克采摘採日期月年春夏秋冬焙火烘发發酵度轻輕中重烏乌龍龙紅红綠绿白黃黄山高老生普洱岩"
    "鐵铁觀观音凍冻頂顶金萱翠玉青心大小包鳳凰凤單单叢丛号號批编編評评分香味甘甜苦澀涩回韻韵湯汤色葉叶底外形備备注註農农園园"
    "ロットンプルメリ産標収穫価在庫製者名煎新一番抹玉露静岡宇治鹿児島八女深蒸し様式会社円数量最低注文の"
)


def open_csv(name: str, data: bytes) -> Workbook:
    """Read a CSV of any common encoding and separator; the row numbers count records, the header
    being row 1.
    """
    encoding, text = decode(name, data)
    if not text.strip("\ufeff \r\n\t,;|"):
        raise BadInput(
            f"{name}: the file is empty: it holds no words.", way_out="Save or copy it again and retry."
        )
    if encoding in ("cp932", "euc_jp"):
        text = text.replace(
            "\\", "¥"
        )  # the same byte: JIS X 0201 has the yen sign where ASCII has a backslash
    text, separator = _separator_line(text.lstrip("\ufeff"))
    separator = separator or separator_of(text)
    grid = Grid("", _cells(name, text, separator), is_csv=True)
    refuse_other_text(name, text, separator, grid)
    return Workbook("csv", [grid], encoding=encoding, separator=separator)


def decode(name: str, data: bytes) -> tuple[str, str]:
    """Tell the encoding of bytes and decode them.

    >>> decode("a.csv", "Höhe;Preis €".encode("cp1252"))[0], decode("a.csv", "茶名,产地\\n乌龙,安溪".encode("gb18030"))[0]
    ('cp1252', 'gb18030')
    """  # noqa: E501
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return encoding, _strictly(name, data, encoding)
    unmarked = _unmarked_utf16(data)
    if unmarked:
        return unmarked, _strictly(name, data, unmarked)
    if b"\0" in data:
        raise BadInput(f"{name}: this is not a text: it holds zero bytes.", way_out="Save it as CSV or XLSX.")
    try:
        return "utf-8", data.decode("utf-8")
    except UnicodeDecodeError:
        return _best_of(name, data)


def _strictly(name: str, data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as trouble:
        raise BadInput(
            f"{name}: the text is damaged: it says it is {encoding}, but byte {trouble.start} does not fit.",
            way_out="Save it again as CSV UTF-8.",
        ) from trouble


def _unmarked_utf16(data: bytes) -> str:
    sample = data[:2000]
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if odd > len(sample) * 0.2 and even < odd / 4:
        return "utf-16-le"
    return "utf-16-be" if even > len(sample) * 0.2 and odd < even / 4 else ""


def _best_of(name: str, data: bytes) -> tuple[str, str]:
    sample = _whole_lines(data)
    best: tuple[float, str] | None = None
    for rank, encoding in enumerate(CANDIDATES):
        try:
            score = sense(sample.decode(encoding)) - rank * 0.002
            if best is None or score > best[0]:
                data.decode(encoding)
                best = (score, encoding)
        except UnicodeDecodeError:
            continue
    if best is None:
        raise BadInput(f"{name}: the encoding of this text cannot be told.", way_out="Save it as CSV UTF-8.")
    return best[1], data.decode(best[1])


def _whole_lines(data: bytes) -> bytes:
    return data if len(data) < 40_000 else data[:40_000].rsplit(b"\n", 1)[0]


def sense(text: str) -> float:
    """Rate how much a decoded text looks like words, per sign that is not plain ASCII; known heads
    count most.
    """
    odd = [index for index, sign in enumerate(text) if sign > "\x7f"]
    if not odd:
        return 0.0
    total = sum(_fits(text, index) for index in odd) / len(odd)
    lines = text.splitlines()[:12]
    heads = Counter(fold(part) for line in lines for part in re.split(r"[,;\t|]", line) if not part.isascii())
    known = sum(1 for head in heads if head in all_ways())
    return total + min(known, 4) * 0.5


def _fits(text: str, index: int) -> float:
    sign = text[index]
    before = text[index - 1] if index else " "
    after = text[index + 1] if index + 1 < len(text) else " "
    if _is_eastern(sign):
        return _fits_eastern(sign, before, after)
    kind = unicodedata.category(sign)
    if kind in ("Cc", "Co", "Cn", "Cs"):
        return -4.0
    if kind[0] == "L":
        in_word = _latin(before) or _latin(after)
        upper_inside = kind == "Lu" and before.islower()
        return (0.8 if in_word else 0.1 if not before.strip() or not after.strip() else -0.6) - (
            1.0 if upper_inside else 0
        )
    if sign in "€£¥°–—’‘“”…½¼¾²ª«»×±„‚•·™®©§\u00a0":
        return -1.0 if before.isalpha() and after.isalpha() and sign not in "’–—·" else 0.5
    return -1.0


def _fits_eastern(sign: str, before: str, after: str) -> float:
    beside_latin = (before.isascii() and before.islower()) or (after.isascii() and after.islower())
    beside_own = _is_eastern(before) or _is_eastern(after)
    common = 0.6 if sign in _COMMON or "\u3040" <= sign <= "\u30ff" else 0.0
    half_width = -1.2 if "\uff61" <= sign <= "\uff9f" else 0.0
    return (0.5 if beside_own else 0.0) + common + half_width - (1.2 if beside_latin else 0.0)


def _is_eastern(sign: str) -> bool:
    return "\u3000" <= sign <= "\u9fff" or "\uac00" <= sign <= "\ud7a3" or "\uff00" <= sign <= "\uffef"


def _latin(sign: str) -> bool:
    return sign.isalpha() and sign < "\u0250"


def _separator_line(text: str) -> tuple[str, str]:
    # Spreadsheet programs write `sep=;` as a first line; it is a line for them, not a row.
    found = re.match(r"\"?sep=(.)\"?\r?\n", text)
    return (text[found.end() :], found[1]) if found else (text, "")


def separator_of(text: str) -> str:
    """Tell the separator: the sign that cuts most lines into the same number of cells.

    >>> separator_of("Los;Preis\\nK-1;84,50\\nK-2;60"), separator_of("Lot,Tea\\nF-1,Fernlow")
    (';', ',')
    """
    scores = {sign: _evenness(text, sign) for sign in SEPARATORS}
    return max(SEPARATORS, key=lambda sign: scores[sign])


def _evenness(text: str, separator: str) -> tuple[float, int]:
    rows = _rows(text[:60_000], separator)[:80]
    widths = [len(row) for row in rows if any(cell.strip() for cell in row)]
    if not widths:
        return 0.0, 0
    common, count = Counter(width for width in widths).most_common(1)[0]
    most = max(widths)
    if common == 1:
        common, count = (most, sum(width > 1 for width in widths) // 2) if most > 1 else (1, 0)
    return (count / len(widths), common) if common > 1 else (0.0, most)


def _rows(text: str, separator: str) -> Sequence[list[str]]:
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    except csv.Error:
        return [line.split(separator) for line in text.splitlines()]


def _cells(name: str, text: str, separator: str) -> dict[tuple[int, int], GridCell]:
    cells: dict[tuple[int, int], GridCell] = {}
    try:
        for number, row in enumerate(csv.reader(io.StringIO(text, newline=""), delimiter=separator), 1):
            if len(row) > MOST_COLUMNS and any(row[MOST_COLUMNS:]):
                raise too_many(name, "columns", MOST_COLUMNS)
            cells.update({(number, column): GridCell(value) for column, value in enumerate(row, 1) if value})
            if len(cells) > MOST_CELLS:
                raise too_many(name, "cells", MOST_CELLS)
    except csv.Error as trouble:
        raise BadInput(
            f"{name}: the table cannot be cut into cells ({trouble}).",
            way_out="Check the quotation marks in it.",
        ) from trouble
    return cells
