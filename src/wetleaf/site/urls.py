"""Every address of the site, in the order of its places."""

from django.urls import URLPattern, URLResolver, path

from wetleaf.findings import views as findings
from wetleaf.lots import views as lots
from wetleaf.site import deciding, faces, intake

urlpatterns: list[URLPattern | URLResolver] = [
    path("", findings.today, name="today"),
    path("seasons/", findings.seasons, name="seasons"),
    path("season/<int:season_id>/", findings.season, name="season"),
    path("season/<int:season_id>/book.html", findings.book_file, name="book_file"),
    path("season/<int:season_id>/decide/", deciding.deciding, name="decide"),
    path("season/<int:season_id>/lot/<path:anchor>/", findings.lot, name="lot"),
    path("season/<int:season_id>/flights/", findings.flights, name="flights"),
    path("season/<int:season_id>/flight/<path:anchor>/", findings.flight, name="flight"),
    path("season/<int:season_id>/leaf/", lots.leaf, name="leaf"),
    path("take-in/", intake.intake, name="intake"),
    path("faces/<str:name>.woff2", faces.face, name="face"),
]
