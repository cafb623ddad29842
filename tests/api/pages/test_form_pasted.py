"""Rows of the form from cells copied out of a spreadsheet: tools, rates by weight, whatever a section holds."""

import pytest
from starlette.datastructures import FormData

from api.pages import form_pasted
from api.pages.form_document import make
from api.pages.form_rows import MOST_ROWS
from api.pages.form_rows import read as read_form
from planner.reading import read
from tests.api.pages.test_growing_form import ROWS, sent


def filled(**rows):
    return read_form(sent(rows={**ROWS, **rows}))


def pasted(form, into, *lines, between="\t"):
    cells = "\n".join(between.join(line) for line in lines)
    return form_pasted.taken(form, FormData({"pasted_into": into, "pasted": cells}))


def test_a_table_of_tools():
    """Headings as people write them; a tool whose name stands there is filled in further."""
    form = filled(tools=[{"id": "shell tool", "makes": "shell x2", "cycle_s": "44", "presses": "big"}])
    came = pasted(
        form, "tools",
        ("Name", "Makes each shot", "Cycle time", "Clamp force (kN)", "Drawer"),
        ("Shell Tool", "", "38", "900", "4"),
        ("tray tool", "tray x2", "26", "", "4"),
    )  # fmt: skip
    assert (came.section, came.first, came.text) == ("tools", 0, "")
    assert came.told == ["Not taken, since no field here is called so: Drawer"]
    made = make(form)
    assert not made.problems
    tools = read(made.document).tools
    assert [(name, tool.cycle_s, tool.clamp_kn) for name, tool in tools.items()] == [
        ("shell tool", 38, 900), ("tray tool", 26, 0),
    ]  # fmt: skip
    assert tools["shell tool"].presses == ["big"]


def test_a_tariff_as_carriers_print_it():
    """Weights down, places across, a hole where nothing is taken, commas for points."""
    form = filled()
    came = pasted(
        form, "rates", ("Weight up to", "GB", "FR, DE", "World"), ("250 g", "2,10", "6,20", ""),
        ("0-2 kg", "3,40", "", "14,50"), between=";",
    )  # fmt: skip
    assert (came.section, came.told) == ("rates", [])
    made = make(form)
    assert not made.problems
    rates = read(made.document).carrier.rates
    assert [(rate.to, [(step.up_to_kg, step.price) for step in rate.steps]) for rate in rates] == [
        (["GB"], [(0.25, 2.1), (2, 3.4)]), (["FR", "DE"], [(0.25, 6.2)]), ([], [(2, 14.5)]),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Gewicht bis", ""),
        ("Cyc\u00adle time", "cycle_s"),  # a soft hyphen where a page broke the word
        ("\uff23\uff39\uff23\uff2c\uff25 \uff34\uff29\uff2d\uff25", "cycle_s"),  # wide letters
        ("Cl\u00e1mp force", "clamp_kn"),  # an accent, in one sign or in two
        ("Cla\u0301mp force", "clamp_kn"),
        ("\u200ecycle\u2011time\u200f", "cycle_s"),  # marks of the direction of writing, a hyphen that never breaks
    ],
)
def test_a_heading_is_known_in_another_spelling(heading, field):
    form = filled()
    pasted(form, "tools", ("Name", heading), ("lid tool", "31"))
    [row] = [row for row in form.rows["tools"] if row["id"] == "lid tool"]
    assert {name for name, text in row.items() if text == "31"} == {field} - {""}


@pytest.mark.parametrize(
    "heading",
    ["World", "rest-of-the-world", "Rest of  World", "\u00dcbrige", "U\u0308BRIGE", "Others", "Rest der Welt"],
)
def test_a_column_for_the_rest_of_the_world(heading):
    """Its tariff names nobody; so it is where it is typed into the field."""
    form = filled()
    pasted(form, "rates", ("Weight", "GB", heading), ("1 kg", "2", "9"))
    rates = read(make(form).document).carrier.rates
    assert [(rate.to, rate.steps[0].price) for rate in rates] == [(["GB"], 2), ([], 9)]


def test_a_region_that_is_called_like_the_rest_is_meant_where_there_is_one():
    form = filled(benches=[ROWS.get("benches", [{}])[0] | {"regions": "others: FR, DE"}])
    pasted(form, "rates", ("Weight", "gb", "Others"), ("1 kg", "2", "9"))
    rates = read(make(form).document).carrier.rates
    assert [rate.to for rate in rates] == [["GB"], ["others"]]


def test_rates_in_a_row_each():
    form = filled(carriers=[{"id": "post", "days": "fri"}])
    pasted(form, "rates", ("Of carrier", "To countries or regions", "Rates by kg"), ("post", "gb", "1 at 2.10; 2 at 3"))
    (rate,) = read(make(form).document).carriers["post"].rates
    assert (rate.to, [step.price for step in rate.steps]) == (["GB"], [2.1, 3])


@pytest.mark.parametrize(
    ("into", "lines", "told"),
    [
        ("tools", [("Drawer", "Shelf"), ("4", "2")], "No row was taken. Headings may be: Makes each shot, "),
        ("benches", [("People",), ("2",)], "Say which section the rows go into."),
        ("nothing", [("People",), ("2",)], "Say which section the rows go into."),
        ("rates", [("kg", "GB"), ("some", "2")], "row 2 gives no weight: 'some'"),
        ("colours", [("Colour",), *((f"c{n}",) for n in range(MOST_ROWS))], "rows are more than the 60"),
    ],
)
def test_what_cannot_be_taken_is_told_and_nothing_is_lost(into, lines, told):
    """Neither what was typed before nor the cells."""
    form = filled()
    before = {name: [dict(row) for row in rows] for name, rows in form.rows.items()}
    came = pasted(form, into, *lines)
    assert came.section == ""
    assert came.text
    assert told in came.told[0]
    assert form.rows == before


def test_nothing_put_in():
    assert pasted(filled(), "tools", ("",)).told == ["There are no cells yet; copy them with their row of headings."]


def test_on_the_page(app):
    """The section stands open with what was taken; what was typed elsewhere is still there."""
    form = sent(rows={**ROWS}) | {"do": "paste", "pasted_into": "tools", "pasted": "Name\tMakes\tCycle\nlid\tlid\t30"}
    text = app.client.post("/start/form", data=form).text
    assert 'value="lid"' in text
    assert '<option value="tools" selected>' in text
    assert 'value="shell"' in text


def test_cells_that_are_not_taken_stand_on_the_page(app):
    form = sent(rows={**ROWS}) | {"do": "paste", "pasted_into": "tools", "pasted": "Drawer\n4"}
    text = app.client.post("/start/form", data=form).text
    assert "No row was taken." in text
    assert "Drawer\n4</textarea>" in text
