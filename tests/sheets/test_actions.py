"""A verdict is noted, and a second one replaces it without rewriting it."""

import pytest
from tests.room import a_lot, a_sample, a_season, the_cast

from wetleaf.sheets.actions import note_verdict, note_words
from wetleaf.sheets.models import Remark, Verdict
from wetleaf.trade.errors import BadInput


@pytest.mark.django_db
def test_a_second_verdict_replaces_the_first_which_stays() -> None:
    sample = a_sample(a_lot(a_season()))
    first = note_verdict(sample, "maybe", liking=5)

    second = note_verdict(sample, "keep", liking=6)

    assert second.replaces == first
    assert list(Verdict.objects.that_hold()) == [second]
    assert Verdict.objects.count() == 2


@pytest.mark.django_db
def test_another_tasters_verdict_stands_beside_it() -> None:
    cast, sample = the_cast(), a_sample(a_lot(a_season()))

    note_verdict(sample, "keep")
    note_verdict(sample, "no", taster=cast.helper)

    assert {verdict.taster for verdict in Verdict.objects.that_hold()} == {cast.owner, cast.helper}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("word", "liking", "why"),
    [
        ("buy", None, "not a verdict"),
        ("", None, "needs a word"),
        ("keep", 11, "off the scale"),
        ("", -1, "off the scale"),
    ],
)
def test_what_is_no_verdict_is_refused(word: str, liking: float | None, why: str) -> None:
    sample = a_sample(a_lot(a_season()))

    with pytest.raises(BadInput, match=why):
        note_verdict(sample, word, liking=liking)

    assert not Verdict.objects.exists()


@pytest.mark.django_db
def test_words_are_noted_as_written() -> None:
    sample = a_sample(a_lot(a_season()))

    note_words(sample, "orchid, no smoke ", stage="liquor_aroma")

    assert Remark.objects.get().text == "orchid, no smoke "
    with pytest.raises(BadInput, match="no words"):
        note_words(sample, "  ")
