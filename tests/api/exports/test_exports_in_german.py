"""Workbook, lists and calendar for a reader of German: headings, sheets and texts of ours; names and the CSV that
programs read stay as they are."""

import csv
import io
import re

import openpyxl
import pytest

from api.exports.plan_lists import plan_lists
from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

NAMES = set(re.findall(r"[\w-]+", pot_campaign().model_dump_json())) | {"Pots", "Region", "Material", "Letter", "world"}
WORD = re.compile(r"[A-Za-z]{4,}")


@pytest.fixture
def here(app):
    return f"/v1/plans/{publish_pots(app.service)}"


def texts(book: bytes) -> set[str]:
    opened = openpyxl.load_workbook(io.BytesIO(book))
    cells = {cell.value for sheet in opened for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)}
    return {*cells, *opened.sheetnames}


def test_no_text_of_the_workbook_stays_english(app, here):
    """No text with a word of four letters is the same in both, but for names and formulas."""
    english, german = (app.client.get(f"{here}/workbook.xlsx?language={code}").content for code in ("en", "de"))
    both = {text for text in texts(english) & texts(german) if not text.startswith("=")}
    assert {text for text in both if not NAMES.issuperset(WORD.findall(text))} == set()


def test_formulas_find_their_columns_under_german_headings(app, here):
    """The same cells, whatever stands over them."""

    def formulas(code: str) -> list[str]:
        book = openpyxl.load_workbook(io.BytesIO(app.client.get(f"{here}/workbook.xlsx?language={code}").content))
        cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
        return [f"{cell.coordinate} {cell.value}" for cell in cells if str(cell.value).startswith("=")]

    assert formulas("de") == formulas("en") != []


def test_headings_that_programs_read_stay_where_no_language_is_asked_for(app, here):
    """A browser's language changes no list; asked for in German its headings are German."""
    plain = app.client.get(f"{here}/lists/packing-list.csv", headers={"accept-language": "de"}).text
    headings = next(csv.reader(io.StringIO(plain.lstrip("\ufeff"))))
    assert headings == plan_lists(pot_campaign(), pot_plan())["Packing list"][0]
    german = app.client.get(f"{here}/lists/packing-list.csv?language=de").text
    assert next(csv.reader(io.StringIO(german.lstrip("\ufeff"))))[:3] == ["Gepackt ab", "Packlos", "Karton"]
    assert app.client.get(f"{here}/lists/runs.csv?language=xx").status_code == 422


@pytest.mark.parametrize("what", ["key", "all"])
def test_the_calendar_is_german(app, here, what):
    """Titles, places and notes."""
    english, german = (
        app.client.get(f"{here}/calendar.ics?what={what}&language={code}").text.replace("\r\n ", "")
        for code in ("en", "de")
    )
    said = [set(re.findall(r"^(?:SUMMARY|DESCRIPTION|LOCATION):(.+)$", text, re.M)) for text in (english, german)]
    said[0] = {one.strip() for one in said[0] & said[1]}
    assert {one for one in said[0] if not NAMES.issuperset(WORD.findall(one))} == set()
    assert "Abholung: " in german
