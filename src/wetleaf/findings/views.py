"""The pages of what was found: today, the season's book, a lot, the flights. They compute nothing."""

import datetime as dt

from django.db import transaction
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.http import urlencode
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from wetleaf.findings.arranging import GROUPED, counts_shown, lot_table, read_arrangement
from wetleaf.findings.binding import bind
from wetleaf.findings.book import SeasonBook
from wetleaf.findings.opening import open_book
from wetleaf.findings.places import PlacesOnTheSite
from wetleaf.findings.waiting import said_waiting, what_waits
from wetleaf.lots.models import Lot, Offer, Season, withdrawn_lots
from wetleaf.lots.one_line import add_lot_in_one_line
from wetleaf.trade.errors import BadInput
from wetleaf.trade.onelines import read_line


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """What waits in the latest season and in every other that still has an offer open, or how to begin."""
    open_ = _open_seasons(_today())
    if not open_:
        return render(request, "findings/today_empty.html", {"today": _today(), "place": "today"})
    latest, *others = open_
    waits = [_waits_in(latest, request)]
    waits += [waiting for other in others if (waiting := _waits_in(other, request))["kinds"]]
    context = {**waits[0], "waits": waits, "is_several": len(waits) > 1, "place": "today"}
    return render(request, "findings/today.html", context)


def _open_seasons(on: dt.date) -> list[Season]:
    """The latest season, then every other with an offer that ends on that day or later, the latest first."""
    still = Q(valid_until__gte=on) | Q(held_until__gte=on)
    offers = Offer.objects.filter(still).exclude(lot__in=withdrawn_lots())
    open_ = set(offers.values_list("lot__season_id", flat=True))
    known = list(Season.objects.all())
    return known[:1] + [season for season in known[1:] if season.pk in open_]


def _waits_in(season: Season, request: HttpRequest) -> dict[str, object]:
    book = _book_of(season, request)
    kinds = what_waits(book)
    return {**_around(season, book), "kinds": kinds, "say": said_waiting(kinds)}


@require_safe
def seasons(request: HttpRequest) -> HttpResponse:
    """Every season on the books."""
    return render(request, "findings/seasons.html", {"seasons": Season.objects.all(), "place": "season"})


@require_http_methods(["GET", "HEAD", "POST"])
def season(request: HttpRequest, season_id: int) -> HttpResponse:
    """The book's first screen, arranged as the address asks; a lot typed in one line is added by POST."""
    shown = get_object_or_404(Season, pk=season_id)
    if request.method == "POST":
        return _add_lot(request, shown)
    return _season_page(request, shown)


def _add_lot(request: HttpRequest, shown: Season) -> HttpResponse:
    line = request.POST.get("line", "")
    try:
        with transaction.atomic():
            added = add_lot_in_one_line(shown, read_line(line, today=_today()))
    except BadInput as refusal:
        return _season_page(request, shown, refusal=refusal, line=line)
    return redirect(f"{reverse('season', args=[shown.pk])}?{urlencode({'added': added.code})}")


def _season_page(
    request: HttpRequest, shown: Season, *, refusal: BadInput | None = None, line: str = ""
) -> HttpResponse:
    """The page, or for htmx the table alone."""
    book = _book_of(shown, request)
    arrangement = read_arrangement(request.GET.dict())
    context = {
        **_around(shown, book),
        "table": lot_table(book, arrangement),
        "arrangement": arrangement,
        "counts": counts_shown(book),
        "groupings": GROUPED,
        "added": next((lot for lot in book.lots if lot.code == request.GET.get("added")), None),
        "refusal": refusal,
        "line": line,
        "found": arrangement.find,
        "place": "season",
    }
    template = "findings/_season_lots.html" if request.headers.get("HX-Request") else "findings/season.html"
    response = render(request, template, context, status=400 if refusal else 200)
    patch_vary_headers(response, ["HX-Request"])
    return response


@require_safe
def lot(request: HttpRequest, season_id: int, anchor: str) -> HttpResponse:
    """One lot in the order of the job, with where each of its facts was read."""
    shown = get_object_or_404(Season, pk=season_id)
    book = _book_of(shown, request)
    for group in book.groups:
        for page in group.lots:
            if page.anchor == anchor:
                read_from = Lot.objects.filter(season=shown, code=page.code).select_related("run").first()
                context = {**_around(shown, book), "group": group, "lot": page, "read_from": read_from}
                return render(request, "findings/lot.html", {**context, "place": "season"})
    raise Http404(f"{shown} has no such lot")


@require_safe
def flights(request: HttpRequest, season_id: int) -> HttpResponse:
    """The season's flights, and what was dropped when they were taken in."""
    shown = get_object_or_404(Season, pk=season_id)
    return render(
        request, "findings/flights.html", {**_around(shown, _book_of(shown, request)), "place": "flights"}
    )


@require_safe
def flight(request: HttpRequest, season_id: int, anchor: str) -> HttpResponse:
    """One flight: who tasted, how they agreed, what it found."""
    shown = get_object_or_404(Season, pk=season_id)
    book = _book_of(shown, request)
    page = next((page for page in book.flights if page.anchor == anchor), None)
    if page is None:
        raise Http404(f"{shown} has no such flight")
    return render(
        request, "findings/flight.html", {**_around(shown, book), "flight": page, "place": "flights"}
    )


@require_safe
def book_file(request: HttpRequest, season_id: int) -> HttpResponse:
    """The whole book as one file to keep or send; makers and prices only when they were asked for."""
    shown = get_object_or_404(Season, pk=season_id)
    bound = bind(_book_of(shown, request), private=_asks_private(request))
    response = HttpResponse(bound.html, content_type="text/html; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{slugify(shown.name) or "book"}.html"'
    return response


def _around(shown: Season, book: SeasonBook) -> dict[str, object]:
    return {
        "season": shown,
        "book": book,
        "today": book.made_on,
        "places": PlacesOnTheSite(shown.pk, book.shown_private),
        "private_query": "&private=shown" if book.shown_private else "",
    }


def _book_of(shown: Season, request: HttpRequest) -> SeasonBook:
    return open_book(shown, shown_private=_asks_private(request), on=_today())


def _asks_private(request: HttpRequest) -> bool:
    return request.GET.get("private") == "shown"


def _today() -> dt.date:
    return timezone.localdate()
