"""The places of the site in its masthead: those that exist, for the season in view or the latest one."""

from typing import Any

from django import template
from django.urls import reverse

from wetleaf.lots.models import Season

register = template.Library()


@register.inclusion_tag("site/_masthead.html", takes_context=True)
def masthead(context: dict[str, Any]) -> dict[str, Any]:
    """Draw the masthead. Asks the database for the latest season when the page is about none."""
    season = context.get("season") or Season.objects.first()
    return {
        "places": _places(season),
        "here": context.get("place"),
        "season": season,
        "found": context.get("found", ""),
        # With makers shown a search finds them too.
        "is_private": bool(getattr(context.get("book"), "shown_private", False)),
    }


def _places(season: Season | None) -> list[tuple[str, str, str]]:
    places = [("today", "Today", reverse("today"))]
    if season is not None:
        places += [
            (key, name, reverse(key, args=[season.pk]))
            for key, name in (("season", "Season"), ("flights", "Flights"), ("leaf", "Leaf"))
        ]
    return [*places, ("intake", "Take in a workbook", reverse("intake"))]
