"""What a folded section says of what is in it: each name once, at most six, the rest counted."""

import pytest

from api.pages.form_fields import Ask, Section
from api.pages.form_held import Held, held
from api.pages.form_rows import named

PLAIN = Section("things", "Things", "a thing", (Ask("id", "name"), Ask("n", "number", "number", usual="1")))
SINGLE = Section("how", "How", "how", (Ask("id", "name"), Ask("n", "number", "number")), only=True)


@pytest.mark.parametrize(("number", "more"), [(0, 0), (1, 0), (6, 0), (7, 1), (20, 14)])
def test_six_are_named_and_the_rest_is_counted(number, more):
    """Exactly six leave nothing to count."""
    rows = [{"id": f"t{n}", "n": "2"} for n in range(number)]
    assert held(PLAIN, rows) == Held([f"t{n}" for n in range(min(6, number))], more)


def test_rows_that_say_nothing_are_not_named():
    """Nor what is as usual; a row without a name by the first thing it says; the same name once."""
    rows = [{"id": "", "n": "1"}, {"id": "lid", "n": "1"}, {"id": "", "n": "4"}, {"id": "lid", "n": "2"}, {}]
    assert held(PLAIN, rows) == Held(["lid", "4"], 0)
    assert [named(row, PLAIN) for row in rows] == [False, True, True, True, False]


def test_of_a_section_of_one_row_all_that_it_asks_of_everybody_is_said():
    assert held(SINGLE, [{"id": "x", "n": ""}]).more == 0
    assert [one.rpartition(": ")[2] for one in held(SINGLE, [{"id": "x", "n": "3"}]).names] == ["x", "3"]
    assert held(SINGLE, [{"id": "", "n": ""}]) == Held([], 0)
