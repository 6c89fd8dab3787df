"""What was dropped at import: what was left out stands first, what was only tidied is folded away."""

from django.test import Client

from wetleaf.lots.models import Season


def test_what_was_left_out_comes_first_and_tidied_cells_are_counted_and_folded(
    client: Client, sample_season: Season
) -> None:
    body = client.get(f"/season/{sample_season.pk}/flights/").content.decode()

    left, warned = body.index("Scores!D9"), body.index("Scores!D5")
    folded, tidied = body.index("4 cells kept and only tidied"), body.index("Lots!B2 and 3 more cells")
    assert left < warned < folded < tidied
    assert "<details" in body[warned:folded]
