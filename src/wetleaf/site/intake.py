"""Taking in a workbook: drop it, see what would be stored and every cell that cannot be, then store it.

Nothing is stored before the second step. Between the steps the file waits in the workspace under its digest.
"""

import contextlib
import hashlib
import re
import time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from wetleaf.lots.models import Season
from wetleaf.lots.workbooks.records import Problem, ReadBook
from wetleaf.sheets.intake import store_book
from wetleaf.sheets.unresolved import name_of
from wetleaf.trade.errors import BadInput

_KINDS = {".xlsx", ".ods", ".csv", ".tsv", ".txt", ".xlsm"}
_MOST_BYTES = 40 * 1024 * 1024
_DIGEST = re.compile(r"[0-9a-f]{64}")
_SEVERITIES = (
    ("error", "Cannot be stored as they stand"),
    ("warn", "Inferred: look whether this is meant"),
    ("info", "Tidied"),
)


@require_http_methods(["GET", "HEAD", "POST"])
def intake(request: HttpRequest) -> HttpResponse:
    """Ask for a workbook; show what it holds; store it when its open cells are accepted."""
    if request.method != "POST":
        return _ask(request)
    try:
        if "digest" in request.POST:
            return _store(request)
        return _look(request, _keep_waiting(request.FILES.get("workbook")))
    except BadInput as refusal:
        return _ask(request, refusal=refusal, status=400)


def _ask(request: HttpRequest, *, refusal: BadInput | None = None, status: int = 200) -> HttpResponse:
    context = {"refusal": refusal, "season_name": _season_named(request), "place": "intake"}
    return render(request, "site/intake.html", context, status=status)


def _look(request: HttpRequest, file: Path, *, refusal: BadInput | None = None) -> HttpResponse:
    book = _read(file)
    context = {
        "read": book,
        "digest": file.parent.name,
        "counts": _counts(book),
        "unused": [column for column in book.columns if column.read_as == "unknown"],
        "problems": _problems_by_severity(book),
        "accepted": set(request.POST.getlist("accept")),
        "season_name": _season_named(request) or book.season,
        "seasons": Season.objects.all(),
        "refusal": refusal,
        "place": "intake",
    }
    return render(request, "site/intake_look.html", context, status=400 if refusal else 200)


def _store(request: HttpRequest) -> HttpResponse:
    file = _waiting_file(request.POST["digest"])
    before = request.POST.get("before", "").strip() or None
    try:
        taken = store_book(
            _read(file),
            season=_season_named(request),
            now=timezone.now(),
            accept=request.POST.getlist("accept"),
            before=before,
        )
    except BadInput as refusal:
        return _look(request, file, refusal=refusal)
    _forget(file)
    return redirect(reverse("season", args=[Season.objects.get(name=taken.season).pk]))


def _read(file: Path) -> ReadBook:
    from wetleaf.lots.workbooks.reading import read_book  # slow to import, and only needed here

    return read_book(file)


def _season_named(request: HttpRequest) -> str:
    return request.POST.get("season", "").strip()


def _counts(book: ReadBook) -> list[tuple[str, int]]:
    held = (
        ("lots", book.lots),
        ("samples", book.samples),
        ("scores", book.scores),
        ("remarks", book.notes),
        ("verdicts", book.verdicts),
        ("preferences", book.preferences),
        ("triangles", book.triangles),
        ("re-tastings", book.retastes),
    )
    return [(name, len(rows)) for name, rows in held if rows]


def _problems_by_severity(book: ReadBook) -> list[tuple[str, str, list[tuple[str, Problem]]]]:
    """The problems of each severity that has any, each with the name by which its cell is accepted."""
    return [
        (severity, title, named)
        for severity, title in _SEVERITIES
        if (named := [(name_of(one), one) for one in book.problems if one.severity == severity])
    ]


# ---------- the file between the two steps ----------


def _keep_waiting(upload: "UploadedFile[Any] | None") -> Path:
    """Keep an uploaded file under its digest. Raises BadInput for none, a large one, one of another kind."""
    if upload is None or not upload.name:
        raise BadInput("No file was chosen.", way_out="Choose the workbook and press the button again.")
    kind = Path(upload.name).suffix.lower()
    if kind not in _KINDS:
        raise BadInput(
            f"{upload.name}: a file of kind '{kind or 'none'}' is not read.",
            way_out="Save it as XLSX, ODS or CSV.",
        )
    if (upload.size or 0) > _MOST_BYTES:
        raise BadInput(
            f"{upload.name} has {(upload.size or 0) // 2**20} MB, 40 MB is the most.",
            way_out="Take photographs out of the workbook and save it again.",
        )
    _forget_old()
    content = upload.read()
    file = _waiting_folder() / hashlib.sha256(content).hexdigest() / _safe_name(upload.name)
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content)
    return file


def _waiting_file(digest: str) -> Path:
    folder = _waiting_folder() / digest
    files = list(folder.iterdir()) if _DIGEST.fullmatch(digest) and folder.is_dir() else []
    if not files:
        raise BadInput("The workbook is no longer waiting here.", way_out="Choose it again.")
    return files[0]


def _forget_old() -> None:
    """Throw away workbooks that were looked at and never stored, after a day."""
    yesterday = time.time() - 24 * 3600
    for file in _waiting_folder().glob("*/*"):
        if file.stat().st_mtime < yesterday:
            _forget(file)


def _forget(file: Path) -> None:
    with contextlib.suppress(OSError):
        file.unlink()
        file.parent.rmdir()


def _waiting_folder() -> Path:
    return Path(settings.WORKSPACE) / "waiting"


def _safe_name(name: str) -> str:
    """Keep a file's own name for the trace, without anything that could lead out of the folder."""
    bare = re.sub(r"[\x00-\x1f/\\]+", " ", name).strip(" .")[-120:]
    return bare or "workbook"
