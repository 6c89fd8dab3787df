"""The faces of the served pages: cut from the font packages at first use and kept in the workspace.

The Latin faces hold every letter; the eastern one holds the signs that the books and the house's own
sentences use, since cutting it for all of Chinese, Japanese and Korean takes half a minute (measured) for
signs nobody reads. It is cut again when the books use new ones.
"""

import hashlib
import os
import tempfile
import threading
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

from django.conf import settings
from django.db import models
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.cache import patch_response_headers
from django.views.decorators.http import require_safe

from wetleaf.findings.drawings.scripts import eastern_signs
from wetleaf.findings.faces import EAST, FACE_BY_KEY, Face, cut_face
from wetleaf.flights.models import Flight
from wetleaf.lots.models import DroppedCell, Fact, Line, Lot, Offer, Producer, Season
from wetleaf.people.models import Taster
from wetleaf.sheets.models import Preference, Remark, Retaste, Score, Trial

_LATIN = (
    (0x20, 0x7E), (0xA0, 0x17F), (0x1CD, 0x1DC), (0x2B0, 0x2FF), (0x300, 0x33F), (0x1E00, 0x1EFF),
    (0x2000, 0x206F), (0x2070, 0x209F), (0x20A0, 0x20BF), (0x2100, 0x214F),
    (0x2190, 0x21FF), (0x2200, 0x22FF),
)  # fmt: skip
_SHOWN_TEXTS: tuple[tuple[type[models.Model], str], ...] = (
    (Season, "name"), (Lot, "name"), (Lot, "code"), (Producer, "name"), (Line, "name"), (Fact, "written"),
    (Offer, "written"), (DroppedCell, "says"), (DroppedCell, "why"), (DroppedCell, "sheet"), (Taster, "name"),
    (Flight, "name"), (Score, "attribute"), (Remark, "text"), (Preference, "because"), (Trial, "remark"),
    (Retaste, "remark"),
)  # fmt: skip
_cutting = threading.Lock()


@require_safe
def face(_request: HttpRequest, name: str) -> HttpResponse:
    """Send one face; where its package is missing the reader's own fonts stand in."""
    known = FACE_BY_KEY.get(name)
    if known is None:
        raise Http404("no such face")
    try:
        woff2 = kept_face(known)
    except FileNotFoundError as missing:
        raise Http404(str(missing)) from missing
    response = HttpResponse(woff2, content_type="font/woff2")
    patch_response_headers(response, cache_timeout=300 if known.family == EAST else 7 * 24 * 3600)
    return response


def kept_face(face: Face) -> bytes:
    """Return a face from the workspace's cache, cut first when it is not there.

    Raises FileNotFoundError when the font's package is missing, or when nothing eastern is written anywhere.
    """
    signs = eastern_signs_in_use() if face.family == EAST else latin_signs()
    if not signs:
        raise FileNotFoundError(f"no sign needs the face {face.key}")
    digest = hashlib.sha256("".join(sorted(signs)).encode()).hexdigest()[:12]
    file = Path(settings.WORKSPACE) / "cache" / "faces" / f"{face.key}-{digest}.woff2"
    with _cutting:  # several tabs ask at once; the face is cut by the first
        if file.exists():
            return file.read_bytes()
        woff2 = cut_face(face, signs)
        _keep(file, woff2)
        return woff2


def latin_signs() -> frozenset[str]:
    """Letters of every language in Latin script, marks, currencies, arrows."""
    return frozenset(chr(code) for first, last in _LATIN for code in range(first, last + 1))


def eastern_signs_in_use() -> frozenset[str]:
    """The Chinese, Japanese and Korean signs on the books and in the tables of what the trade knows."""
    return frozenset(sign for text in _texts() for sign in eastern_signs(text))


def _texts() -> Iterator[str]:
    for model, field in _SHOWN_TEXTS:
        yield from model._default_manager.values_list(field, flat=True).distinct().order_by()
    for table in files("wetleaf.trade").iterdir():
        if table.name.endswith((".toml", ".csv")):
            yield table.read_text("utf-8")


def _keep(file: Path, woff2: bytes) -> None:
    """Write beside and rename, so that a reader never sees half a face; a full disk only costs the cache."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(dir=file.parent)
        with os.fdopen(handle, "wb") as half:
            half.write(woff2)
        Path(beside).replace(file)
    except OSError:
        return
