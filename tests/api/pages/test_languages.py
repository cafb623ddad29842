"""Languages of pages: every text of the rooms that are translated is in each language's file, what is German reads
German whole, and days, figures and money are written as the reader's country does (Unicode CLDR, by Babel)."""

import html
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from babel.messages.extract import extract_from_file
from babel.messages.pofile import read_po

from api import languages, reading, wording
from api.http.readers import reader_of
from api.reading import Reader
from tests.api.plan_fixtures import publish_pots

ROOT = Path(__file__).resolve().parents[3]
KEYWORDS = {"_": None, "gettext": None, "ngettext": (1, 2)}
COUNTED = {("plan", "plans"), ("shot", "shots"), ("day", "days")}
"""Counted things of those rooms; which is counted stands in the templates as `counted("plan")`."""
GERMAN = {"accept-language": "de-AT,de;q=0.8,en;q=0.5"}
SAME = {"Shot to Ship", "Plan", "English", "Deutsch", "Name", "pots", "JSON", "kg", "lb", "oz"}
"""Words that are the same in both, besides names that somebody typed."""


def texts_in_code() -> Iterator[str]:
    """Every text that is looked up."""
    for path in sorted((ROOT / "api").rglob("*")):
        method = {".py": "python", ".html": "jinja2.ext:babel_extract"}.get(path.suffix)
        if method is not None:
            options = {"trimmed": "true"} if path.suffix == ".html" else {}
            for _, text, _, _ in extract_from_file(method, str(path), keywords=KEYWORDS, options=options):
                assert isinstance(text, str), (path, text)
                yield text


@pytest.mark.parametrize("language", sorted(set(languages.LANGUAGES) - {"en"}))
def test_a_language_has_every_text_and_none_that_is_gone(language):
    with (languages.HERE / f"{language}.po").open("rb") as file:
        catalogue = read_po(file, locale=language, abort_invalid=True)
    known = {one.id: one.string for one in catalogue if one.id}
    used = set(texts_in_code())
    assert used - set(known) == set()
    assert set(known) - used == COUNTED
    for text, said in known.items():
        each = said if isinstance(said, tuple) else (said,)
        assert all(each), text
        one = text if isinstance(text, str) else text[0]
        for form in each:
            assert sorted(re.findall(r"%\(\w+\)s", form)) == sorted(re.findall(r"%\(\w+\)s", one)), text


def words_of(page: str) -> set[str]:
    """What people read of a page, piece by piece: texts, and those that are heard or shown in fields."""
    body = re.sub(r"<(script|svg|style)\b.*?</\1>", "", page, flags=re.DOTALL)
    said = "label|away|one|many|wrong|throw|again"
    texts = re.findall(r">([^<>]+)<", body)
    texts += re.findall(rf'(?:aria-label|placeholder|data-(?:{said}))="([^"]*)"', body)
    pieces = (" ".join(html.unescape(text).split()) for text in texts)
    return {piece.removesuffix(" · Shot to Ship") for piece in pieces} - {""}


@pytest.mark.parametrize("path", ["/", "/start", "/sign-in", "/plans/{pots}/press", "/plans/{pots}/press?said=shots"])
def test_what_is_german_is_german_whole(desk, path):
    """No piece of it with a word of four letters stands in the English page too, but for names."""
    plan_id = publish_pots(desk.service)
    desk.client.post(f"/plans/{plan_id}/press", data={"what": "shots", "shots": "5"})
    desk.client.post(f"/plans/{plan_id}/press", data={"what": "downtime", "hours": "0.5"})
    here = path.replace("{pots}", plan_id)
    english, german = (desk.client.get(here, headers=headers) for headers in ({"accept-language": "en"}, GERMAN))
    assert '<html lang="de">' in german.text
    assert german.headers["content-language"] == "de"
    assert "Accept-Language" in german.headers["vary"]
    both = {piece for piece in words_of(english.text) & words_of(german.text) if re.search(r"[A-Za-z]{4}", piece)}
    campaign = desk.client.get(f"/v1/plans/{plan_id}/campaign").json()
    names = {campaign["name"], *campaign["presses"], *campaign["tools"], *campaign["colours"], *campaign["resins"]}
    options = set(re.findall(r'<option value="[a-z-]+">([^<]+)', english.text)) if path == "/start" else set()
    left = {piece for piece in both if piece not in SAME | names | {html.unescape(one) for one in options}}
    left = {piece for piece in left if not all(word in SAME | names for word in re.findall(r"[\w-]{4,}", piece))}
    left = {piece for piece in left if "/" not in piece}  # melts, as `pp/sage`
    assert left == set()


def test_other_pages_are_english_whole_for_everybody(desk):
    """A page that is not translated is not half so: neither its frame nor its days."""
    plan_id = publish_pots(desk.service)
    answer = desk.client.get(f"/plans/{plan_id}", headers=GERMAN)
    assert '<html lang="en">' in answer.text
    assert "Kampagnen" not in answer.text
    assert "Will I keep my promises?" in answer.text
    assert '<option value="de" lang="de" selected>' in answer.text  # what was chosen is still to be seen


def test_the_language_and_the_weights_are_chosen_at_the_foot_and_kept(desk):
    plan_id = publish_pots(desk.service)
    chosen = {"language": "de", "weights": "lb", "back": f"/plans/{plan_id}/press"}
    answer = desk.client.post("/reading", data=chosen, follow_redirects=False)
    assert answer.headers["location"] == f"/plans/{plan_id}/press"
    assert "Schuss aufschreiben" in desk.client.get(f"/plans/{plan_id}/press").text
    waste = desk.client.get(f"/plans/{plan_id}").text
    assert re.search(r"\d\u202flb", waste)
    assert not re.search(r"\d\u202fkg", waste.partition("What is waste?")[2].partition("</dl>")[0])
    away = desk.client.post("/reading", data=chosen | {"back": "https://elsewhere.example/"}, follow_redirects=False)
    assert away.headers["location"] == "/"
    odd = desk.client.post("/reading", data={"language": "xx"}, follow_redirects=False)
    assert "reads=en.kg" in odd.headers["set-cookie"]


@pytest.mark.parametrize(
    ("header", "day", "short", "number", "money"),
    [
        ("", "Fri 19 Feb 2027", "Fri 19 Feb", "31\u202f156.5", "31\u202f156\u202fGBP"),
        ("en-GB,en;q=0.9", "Fri 19 Feb 2027", "Fri 19 Feb", "31,156.5", "£31,156"),
        ("en-US", "Fri, Feb 19, 2027", "Fri, Feb 19", "31,156.5", "£31,156"),
        ("fr-FR,fr", "Fri 19 Feb 2027", "Fri 19 Feb", "31,156.5", "£31,156"),
        ("de-DE", "Fr., 19. Feb. 2027", "Fr., 19. Feb.", "31.156,5", "31.156\u00a0£"),
        ("nonsense;;q=x, *", "Fri 19 Feb 2027", "Fri 19 Feb", "31\u202f156.5", "31\u202f156\u202fGBP"),
    ],
)
def test_days_figures_and_money_as_the_readers_country_writes_them(header, day, short, number, money):
    try:
        reading.begin(reader_of("/", {b"accept-language": header} if header else {}))
        assert wording.day(date(2027, 2, 19)) == day
        assert wording.short_day(date(2027, 2, 19)) == short
        assert wording.moment(datetime(2027, 2, 19, 6, 27, tzinfo=UTC)) == f"{day} 06:27"
        assert wording.number(31156.5, 1) == number
        assert wording.money(31156.4, "GBP") == money
        assert wording.signed(-3) == "−3"
        assert wording.figure(1205.0).replace(",", "").replace("\u202f", "").replace(".", "") == "1205"
    finally:
        reading.begin(reading.NOBODY)


def test_pounds_and_ounces_are_avoirdupois():
    """NIST Handbook 44, appendix C: 1 lb is 0.453 592 37 kg, 16 oz (from memory)."""
    try:
        reading.begin(Reader(pounds=True))
        assert wording.kilograms(0.45359237) == "1.0\u202flb"
        assert wording.kilograms(0.22679618) == "8.0\u202foz"
        assert wording.kilograms(100) == "220\u202flb"
    finally:
        reading.begin(reading.NOBODY)


def test_what_programs_ask_for_is_the_same_for_everybody(desk):
    """Files and the API do not change with a browser's language."""
    plan_id = publish_pots(desk.service)
    for path in ("pictures/floor.svg", "lists/runs.csv", "labels.csv"):
        plain, german = (desk.client.get(f"/v1/plans/{plan_id}/{path}", headers=each) for each in ({}, GERMAN))
        assert plain.content == german.content
