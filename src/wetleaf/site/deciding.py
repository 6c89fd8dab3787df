"""The page of one lot where the buyer notes what was decided, or takes a mistake off the books."""

import datetime as dt

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from wetleaf.findings.assembling.anchors import anchor_of
from wetleaf.findings.resting import answers_now
from wetleaf.lots.actions import known_lot
from wetleaf.lots.models import Lot, Offer, Season
from wetleaf.lots.withdrawals import withdraw_lot
from wetleaf.sheets.decisions import decide, last_decision, read_decision, read_kilos
from wetleaf.trade.errors import BadInput

CHOICES = (
    ("keep", "keep"),
    ("maybe", "maybe"),
    ("no", "no"),
    ("nothing-against", "keep: nothing here stands against buying"),
    ("taste-again", "maybe: taste again"),
    ("ask", "maybe: ask the producer"),
    ("leave", "no: leave"),
)
"""What may be decided, as the command says it, and in words."""


@require_http_methods(["GET", "HEAD", "POST"])
def deciding(request: HttpRequest, season_id: int) -> HttpResponse:
    """Ask what was decided of the lot `code`; note it, or withdraw the lot with a reason."""
    season = get_object_or_404(Season, pk=season_id)
    lot = _lot(season, request.POST.get("code") or request.GET.get("code", ""))
    if request.method != "POST":
        return _ask(request, lot)
    try:
        if "withdraw" in request.POST:
            withdraw_lot(lot, _said(request, "reason"))
            return redirect(reverse("season", args=[season.pk]))
        _note(request, lot)
    except BadInput as refusal:
        return _ask(request, lot, refusal=refusal)
    return redirect(reverse("lot", args=[season.pk, anchor_of("lot", lot.code)]))


def _lot(season: Season, code: str) -> Lot:
    try:
        return known_lot(season, code.replace("\0", ""))
    except BadInput as refusal:
        raise Http404(str(refusal)) from refusal


def _ask(request: HttpRequest, lot: Lot, *, refusal: BadInput | None = None) -> HttpResponse:
    context = {
        "season": lot.season,
        "lot": lot,
        "anchor": anchor_of("lot", lot.code),
        "last": last_decision(lot),
        "offer": Offer.objects.filter(lot=lot).last(),
        "shows_price": request.GET.get("private") == "shown",
        "choices": CHOICES,
        "said": request.POST,
        "today": timezone.localdate(),
        "refusal": refusal,
        "place": "season",
    }
    return render(request, "site/decide.html", context, status=400 if refusal else 200)


def _note(request: HttpRequest, lot: Lot) -> None:
    decide(
        lot,
        read_decision(_said(request, "decision")),
        why=_said(request, "why"),
        kilos=read_kilos(_said(request, "kilos")),
        price=_said(request, "price"),
        rests_on=answers_now(lot, on=timezone.localdate()),
        on=_day(_said(request, "on")),
    )


def _said(request: HttpRequest, name: str) -> str:
    return request.POST.get(name, "").strip()


def _day(text: str) -> dt.date | None:
    if not text:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"'{text}' is not a day.", way_out="Write it as 2026-05-12.") from None
