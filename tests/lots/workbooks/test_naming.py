from collections import Counter

from wetleaf.lots.workbooks.naming import SampleCodes, TasterNames


def test_spellings_of_one_taster_are_proposed_as_one() -> None:
    names = TasterNames(Counter({"Tomás": 30, "Tomas": 1, "tomás ": 1, "T.": 1, "Mei": 20}))

    assert [names.of(raw).name for raw in ("Tomas", "tomás ", "T.")] == ["Tomás"] * 3
    assert names.of("Tomas").kind == "taster_alias"
    assert names.of("Tomás").kind == ""


def test_an_initial_of_two_tasters_is_nobodys() -> None:
    reading = TasterNames(Counter({"Mei": 9, "Marcus": 9, "M": 1})).of("M")

    assert (reading.name, reading.kind) == (None, "ambiguous_taster")


def test_a_first_name_that_two_share_is_nobodys() -> None:
    names = TasterNames(Counter({"Ruth K.": 9, "Ruth P.": 9, "Ruth": 2}))

    assert names.of("Ruth").kind == "ambiguous_taster"
    assert names.of("Ruth K.").name == "Ruth K."


def test_two_alike_names_that_are_both_common_are_two_people() -> None:
    names = TasterNames(Counter({"Anna": 20, "Anne": 20}))

    assert (names.of("Anna").name, names.of("Anne").name) == ("Anna", "Anne")


def test_what_was_confirmed_is_no_longer_asked() -> None:
    names = TasterNames(Counter({"Mei": 9, "Marcus": 9, "M.": 1}), {"M.": "Mei"})

    assert (names.of("M.").name, names.of("M.").kind) == ("Mei", "")


def test_a_code_is_matched_without_case_and_signs_but_never_by_likeness() -> None:
    codes = SampleCodes([("FH-01", "Invented tea"), ("FH-10", None)], {})

    assert codes.of("fh 1 ").name == "FH-01"
    assert codes.of("fh 1 ").kind == "sample_alias"
    assert codes.of("FH-02").name is None
    assert codes.of("FH-02").kind == "unknown_sample"


def test_a_code_that_two_lots_could_mean_is_left_open() -> None:
    codes = SampleCodes([("FH-1", None), ("FH1", None)], {})

    assert codes.of("fh 1").kind == "ambiguous_sample"
