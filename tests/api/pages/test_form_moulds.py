"""What parts are moulded over, shots by tool and where tools work, as they are typed."""

from api.pages.form_document import make
from api.pages.form_rows import read as read_form
from tests.api.pages.test_growing_form import GROWN, sent


def made(**rows):
    return make(read_form(sent(rows={**GROWN, **rows})))


def over(*rows):
    found = made(moulded_over=[{"colours": "Sage", "number": "1"} | row for row in rows])
    return found.document["parts"]["Shell"].get("moulded_over"), [where for where, _ in found.problems]


def test_two_parts_and_a_piece_go_into_one_mould():
    """One after the other, in the order of their rows; a piece of which no number is said goes in once."""
    into, _ = over(
        {"part": "shell", "takes": "wick cup"},
        {"part": "Shell", "takes": "Float", "colours": "Smoke", "number": "2"},
        {"part": "Shell", "takes": "felt", "number": ""},
    )
    assert into == {
        "parts": [
            {"part": "Wick cup", "colours": ["Sage"], "number": 1},
            {"part": "Float", "colours": ["Smoke"], "number": 2},
        ],
        "pieces": {"Felt": 1},
    }


def test_each_part_counts_its_own():
    found = made(
        moulded_over=[
            {"part": "Shell", "takes": "Float", "colours": "Sage", "number": "1"},
            {"part": "Dish", "takes": "Wick cup", "colours": "Sage", "number": "1"},
        ]
    )
    parts = found.document["parts"]
    assert [one["part"] for one in parts["Shell"]["moulded_over"]["parts"]] == ["Float"]
    assert [one["part"] for one in parts["Dish"]["moulded_over"]["parts"]] == ["Wick cup"]


def test_what_is_not_there_is_told_where_it_was_typed():
    _, told = over({"part": "lid", "takes": "Float"}, {"part": "", "takes": "Float"})
    assert told == ["moulded_over.0.part", "moulded_over.1.part"]
    _, told = over({"part": "Shell", "takes": "magnet"}, {"part": "Shell", "takes": ""})
    assert told == ["moulded_over.0.takes", "moulded_over.1.takes"]


def test_one_colour_stands_for_all_barrels_of_a_part():
    """The shell has two."""
    found = made(moulded_over=[{"part": "Dish", "takes": "Shell", "colours": "Sage", "number": "1"}])
    assert found.document["parts"]["Dish"]["moulded_over"]["parts"][0]["colours"] == ["Sage", "Sage"]
    found = made(moulded_over=[{"part": "Dish", "takes": "Shell", "colours": "Sage + Smoke", "number": "1"}])
    assert found.document["parts"]["Dish"]["moulded_over"]["parts"][0]["colours"] == ["Sage", "Smoke"]
