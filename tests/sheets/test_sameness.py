"""What a later workbook says anew, as properties of bags of answers."""

from hypothesis import given
from hypothesis import strategies as st

from wetleaf.sheets.sameness import Known, New, Read, what_is_new

ANSWERS = st.lists(
    st.tuples(st.sampled_from("abc"), st.integers(0, 3), st.sampled_from(["D1", "D2", "D3"])), max_size=12
)


def known(answers: list[tuple[str, int, str]]) -> list[Known]:
    return [Known(number, *answer) for number, answer in enumerate(answers)]


def read(answers: list[tuple[str, int, str]]) -> list[Read]:
    return [Read(*answer) for answer in answers]


@given(ANSWERS, st.randoms(), st.booleans())
def test_the_same_answers_in_any_order_are_nothing_new(answers: list, random: object, in_cell: bool) -> None:
    shuffled = answers.copy()
    random.shuffle(shuffled)

    assert what_is_new(known(answers), read(shuffled), only_in_its_cell=in_cell) == []


@given(ANSWERS)
def test_everything_is_new_on_empty_books(answers: list) -> None:
    assert what_is_new([], read(answers)) == [New(index, None) for index in range(len(answers))]


@given(ANSWERS, ANSWERS, st.booleans())
def test_after_storing_nothing_is_new_and_nothing_is_replaced_twice(
    first: list, second: list, in_cell: bool
) -> None:
    new = what_is_new(known(first), read(second), only_in_its_cell=in_cell)

    replaced = [one.replaces for one in new if one.replaces is not None]
    held = [one for one in known(first) if one.pk not in replaced]
    held += [Known(100 + one.index, *second[one.index]) for one in new]
    assert len(set(replaced)) == len(replaced)
    assert all(first[one.replaces][0] == second[one.index][0] for one in new if one.replaces is not None)
    assert what_is_new(held, read(second), only_in_its_cell=in_cell) == []


def test_a_remark_is_replaced_only_in_its_cell() -> None:
    before = [Known(1, "LU-07", "orchid", "D2")]

    assert what_is_new(before, [Read("LU-07", "stone", "D3")], only_in_its_cell=True) == [New(0, None)]
    assert what_is_new(before, [Read("LU-07", "stone", "D2")], only_in_its_cell=True) == [New(0, 1)]
    assert what_is_new(before, [Read("LU-07", "stone", "D3")]) == [New(0, 1)]
