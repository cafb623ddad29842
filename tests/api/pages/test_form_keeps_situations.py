"""Change this campaign keeps all that a situation says, also what the form has no field for."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from api.pages.form_changes import onto
from api.pages.form_document import make
from api.pages.form_fields import SECTIONS
from api.pages.form_filled import filled_from
from api.pages.form_rows import rows_of
from planner.campaign.differences import differences
from planner.reading import read

SITUATIONS = sorted((Path(__file__).parents[3] / "api/demo/situations").glob("*.json"))


def situation(path: Path) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(path.read_text())
    return document


def test_they_are_all_there():
    assert len(SITUATIONS) >= 48


@pytest.mark.parametrize("path", SITUATIONS, ids=lambda path: path.stem)
def test_one_cycle_time_is_corrected_and_the_rest_is_as_it_was(path):
    document = situation(path)
    filled, old = filled_from(document), make(filled_from(document))
    tool = filled.rows["tools"][0]
    tool["cycle_s"] = "123"
    new = make(filled)
    assert new.problems == old.problems
    wanted = copy.deepcopy(document)
    wanted["tools"][tool["id"]]["cycle_s"] = 123
    assert onto(document, old.document, new.document) == wanted


@pytest.mark.parametrize("path", SITUATIONS, ids=lambda path: path.stem)
def test_figures_of_every_section_are_corrected_and_the_rest_is_as_it_was(path):
    """The last figure of each section's first row, all in one go: nothing but these is another one afterwards."""
    document = situation(path)
    filled, old = filled_from(document), make(filled_from(document))
    corrected = set()
    for section in SECTIONS:
        for at, row in rows_of(filled, section.name)[:1]:
            figures = [name for name in section.numbers if row.get(name, "").replace(".", "").strip("0")]
            for name in figures[-1:]:
                row[name] = f"{float(row[name]) * 1.5:g}"
                corrected.add(at + name)
    changed = make(filled)
    found = {
        changed.fields.get(where)
        for where, _, _ in differences(document, onto(document, old.document, changed.document))
    }
    assert corrected
    assert found == corrected


def test_a_step_keeps_its_name_when_its_days_or_words_are_corrected():
    """The campaign calls it metal-on, the form shows what is done: still one step, and others still come after it."""
    document = situation(next(path for path in SITUATIONS if path.stem == "rework"))
    filled, old = filled_from(document), make(filled_from(document))
    row = next(row for row in filled.rows["steps"] if row["what"] == "put metal on")
    row |= {"what": "weld metal on", "days": "3-4-9"}
    changed = onto(document, old.document, make(filled).document)
    wanted = copy.deepcopy(document)
    days = {"early": 3.0, "likely": 4.0, "late": 9.0}
    wanted["tools"]["pot"]["until_ready"]["metal-on"] |= {"what": "weld metal on", "days": days}
    assert changed == wanted


def test_what_a_document_leaves_out_stays_out_unless_it_is_changed():
    """What the form puts in by itself is no change; what somebody changes is."""
    assert onto({"a": 1}, {"a": 1, "usual": 2}, {"a": 3, "usual": 2}) == {"a": 3}
    assert onto({"a": 1}, {"a": 1, "usual": 2}, {"a": 1, "usual": 4}) == {"a": 1, "usual": 4}
    assert onto({"a": 1}, {"a": 1}, {"a": 1, "more": 4}) == {"a": 1, "more": 4}


LEFT_OUT = {
    "": ("document", "description", "planning/rounds"),
    "moving-vote": ("uncertainty/settled",),  # what is open has a short name beside its words; in a form they are one
    "supporters-vote": ("uncertainty/settled",),
    "rework": ("tools/pot/until_ready",),  # likewise
    "wishes": ("wishes",),  # they are said on the page of a plan
}
"""What a form begun anew does not say; Change this campaign keeps it."""


@pytest.mark.parametrize("path", SITUATIONS, ids=lambda path: path.stem)
def test_a_form_begun_anew_says_the_situation(path):
    """But for what is listed, each situation can be said from an empty form, and is read."""
    document = situation(path)
    made = make(filled_from(document))
    assert made.problems == []
    said, again = (read(one).model_dump(mode="json", by_alias=True) for one in (document, made.document))
    left_out = tuple(f"/{one}" for one in (*LEFT_OUT[""], *LEFT_OUT.get(path.stem, ())))
    assert [where for where, _, _ in differences(said, again) if not where.startswith(left_out)] == []
