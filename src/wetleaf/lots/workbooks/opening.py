"""Any file a merchant keeps to its sheets, or one clear refusal."""

import hashlib
from pathlib import Path

from wetleaf.lots.workbooks.containers import kind_of, open_archive, read_bytes
from wetleaf.lots.workbooks.grid import Workbook
from wetleaf.lots.workbooks.opening_csv import open_csv
from wetleaf.lots.workbooks.opening_ods import open_ods
from wetleaf.lots.workbooks.opening_xlsx import open_xlsx


def open_workbook(path: Path) -> tuple[Workbook, str]:
    """Open a file by what it is, not by its name; return its sheets and the SHA-256 of its bytes.

    Raises `BadInput` for a file that is missing, empty, cut short, locked, a bomb, or no table at all.
    """
    data = read_bytes(path)
    digest = hashlib.sha256(data).hexdigest()
    if kind_of(path.name, data) == "csv":
        return open_csv(path.name, data), digest
    kind, archive = open_archive(path)
    return (open_xlsx(archive) if kind == "xlsx" else open_ods(archive)), digest
