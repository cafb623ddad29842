"""Work beside the presses is called as people say it, never by the ids of documents."""

import re

import pytest

from api.labels.routes import print_labels
from api.languages.reading import Reader, begin
from api.languages.wording import region, work_name, work_numbers
from planner.plan.labels import labels
from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

_IDS = re.compile(r"\b(?:pack|assembly|dispatch|finishing)-\d+")


def test_under_a_heading_numbers_are_enough_and_no_region_goes_by_a_word_of_documents() -> None:
    """A manifest's column is called pack batches; `world` is where countries lie that no region of the maker's has."""
    assert work_numbers(["pack-3", "pack-12", "six-pack-3"]) == "3, 12, six-pack-3"
    assert [region(one) for one in ("world", "Far North")] == ["the world", "Far North"]
    begin(Reader("de"))
    assert region("world") == "Welt"
    begin(Reader())


def test_ids_become_names_and_a_makers_own_words_stay() -> None:
    assert [work_name(one) for one in ("pack-3", "dispatch-12", "assembly-1", "finishing-2", "lot-4")] == [
        "batch 3", "pick-up 12", "job 1", "work 2", "lot 4"]  # fmt: skip
    assert work_name("six-pack-3") == "six-pack-3"
    begin(Reader("de"))
    assert (work_name("pack-3"), work_name("dispatch-1")) == ("Posten 3", "Abholung 1")
    begin(Reader())


@pytest.mark.parametrize("leaf", ["/parcels", "/floor"])
def test_no_page_says_an_id(app, leaf: str) -> None:
    """In its texts; addresses and marks of the picture keep them."""
    text = app.client.get(f"/plans/{publish_pots(app.service)}{leaf}").text
    assert _IDS.findall(" ".join(re.findall(r">([^<]+)<", text))) == []


def test_a_label_says_the_batch_by_its_number(monkeypatch) -> None:
    """As the packing list calls it."""
    written: list[dict[str, str]] = []
    monkeypatch.setattr("api.labels.routes.typeset", lambda sheet, rows, size: written.extend(rows) or b"")
    print_labels(labels(pot_campaign(), pot_plan()), "a4")
    assert written
    assert not any(_IDS.search(str(value)) for row in written for value in row.values())
