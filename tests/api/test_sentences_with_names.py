"""The planner's sentences in German, whatever names stand in them: small letters, the longest, one alone."""

import re
from collections.abc import Iterator

import pytest

from api.languages import reading
from api.languages.reading import Reader
from api.languages.sentences import said
from planner.campaign.base import LONGEST_NAME
from tests.api.plan_fixtures import publish_pots

LONG = ("planter with a name as long as names may be and then some more words " * 2)[: LONGEST_NAME - 1] + "s"
BUSIEST = "Busiest is press a: at work 1.0 of the 2.0 hours it is open until the last run of all, 72%"


@pytest.fixture(autouse=True)
def in_german() -> Iterator[None]:
    reading.begin(Reader("de", "de"))
    yield
    reading.begin(reading.NOBODY)


@pytest.mark.parametrize("tier", ["pair", "Pair", "product2-product3", LONG])
@pytest.mark.parametrize("tight", ["", "; it is the bottleneck"])
def test_what_binds_a_plan_however_the_tier_is_written(tier, tight):
    text = f"{BUSIEST}{tight}. {tier} is all gone by Tue 26 Jan 16:00. Working back, it waited for the next pick-up; "
    text += "rest of lid. Of the 15.4 days to then: 5.3 closed, 4.0 waiting for masterbatch oat, 3.8 on press a."
    told = said(text)
    assert told.startswith("Am meisten zu tun hat Maschine a")
    assert f"{tier} ist ganz weg am" in told
    assert "Ruhe von lid" in told
    assert not {"Working", "waited", "open", "closed"} & set(told.split())


@pytest.mark.parametrize("name", ["Weiß", "oat ABS", "crème brûlée", "żółć", "PP 2"])
@pytest.mark.parametrize("kind", ["resin", "masterbatch"])
def test_a_sentence_ends_behind_whatever_letter_a_name_ends_in(kind, name):
    text = f"{BUSIEST}. pair is all gone by Tue 26 Jan 16:00. Working back, it waited for the next pick-up; the way of "
    text += (
        f"pack-1 to the next bench; {kind} {name}, there Thu 14 Jan. Of the 15.4 days to then: 4.0 waiting for {kind} "
    )
    text += f"{name}. No single press hour, person or setter more makes the same order of work cheaper or sooner."
    told = said(text)
    german = {"resin": "Kunststoff", "masterbatch": "Farbbatch"}[kind]
    assert f"; den Weg von pack-1 zum nächsten Tisch; {german} {name}, da am Do., 14. Jan. Von den" in told
    assert f"4,0 Warten auf {german} {name}. Keine einzelne" in told
    assert not {"Working", "waited", "single", kind} & set(told.split())


def test_a_sentence_ends_behind_a_name_that_ends_in_a_digit():
    text = f"{BUSIEST}. pair is all gone by Tue 26 Jan 16:00. Working back, it waited for the next pick-up. Of the "
    text += (
        "15.4 days to then: 1.6 on press press04. With an hour more in every stretch of press press04 the same order "
    )
    told = said(text + "of work costs 87.50 EUR less, 43.75 EUR for each hour added.")
    assert "1,6 an Maschine press04" in told
    assert not {"Working", "hour", "less"} & set(told.split())


def test_a_run_in_two_colours_in_todays_list(app):
    """Its day, its set-up: no word of them English, with two colours too."""
    plan_id = publish_pots(app.service)
    words = set()
    for day in (11, 12, 13):
        page = app.client.get(f"/plans/{plan_id}?on=2027-01-{day}", headers={"accept-language": "de"}).text
        today = page.partition('id="today"')[2].partition("</section>")[0]
        words |= set(re.findall(r"[A-Za-z]+", re.sub(r"<[^>]*>", " ", today)))
    assert {"Lauf", "Schuss", "bis", "einbauen"} <= words
    assert not {"run", "shots", "until", "mount", "purge", "the"} & words


@pytest.mark.parametrize("press", ["one", LONG])
def test_the_hours_of_one_press_alone(press):
    told = said(
        f"One crew must not cover all these hours; plan shifts: press `{press}` is open 80 h a week, over 48 and 16 h "
        "from opening to closing, which leaves less than 11 h of rest. Usual rule: at most 48 h in an average week "
        "and 11 h of rest a day."
    )
    assert "vom Öffnen bis zum Schließen" in told
    assert "opening" not in told
