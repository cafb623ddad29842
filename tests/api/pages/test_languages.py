"""Languages of pages: every text of the rooms that are translated is in each language's file, what is German reads
German whole, and days, figures and money are written as the reader's country does (Unicode CLDR, by Babel)."""

import ast
import html
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from babel.messages.extract import extract_from_file
from babel.messages.pofile import read_po

from api import languages
from api.apart.typesetting import SAY
from api.http.readers import reader_of
from api.languages import catalogue, reading, wording
from api.languages.reading import Reader
from api.languages.sentences import CONTEXT, in_language, said
from api.pages.form_fields import HEAD, SECTIONS
from api.pages.form_help import HELP
from planner.audit.rules import RULES
from planner.cautions import dwell, texts
from planner.errors import AuditFailed, Problem
from planner.planning.verdict import broken, set_aside
from planner.why.words import chain_words
from tests.api.page_addresses import ALONE, LEAVES
from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

ROOT = Path(__file__).resolve().parents[3]
KEYWORDS = {"_": None, "gettext": None, "ngettext": (1, 2), "Column": None, "Sheet": None}
GERMAN = {"accept-language": "de-AT,de;q=0.8,en;q=0.5"}
SAME = {
    "Letter",
    "Material",
    "what,at,press,tool,colours,shots,good,hours",
    "shot-to-ship",
    "world",
    "make",
    "local",
    "Shot to Ship",
    "Plan",
    "English",
    "Deutsch",
    "Name",
    "pots",
    "JSON",
    "kg",
    "lb",
    "oz",
}
"""Words that are the same in both, besides names that somebody typed."""


COUNTING = re.compile(r"""counted\((?:[^()"']*, )?["']([^"']+)["'](?:, ["']([^"']+)["'])?\)""")
"""`counted("row")`, `counted(n, "entry", "entries")`: which word is counted stands there alone."""


def texts_in_code() -> Iterator[str | tuple[str, ...]]:
    """Every text that is looked up."""
    for path in sorted((ROOT / "api").rglob("*")):
        if path.suffix == ".typ":
            yield from SAY.findall(path.read_text(encoding="utf-8"))
        jinja = "jinja2.ext:babel_extract"
        method = {".py": "python", ".html": jinja, ".svg": jinja}.get(path.suffix)
        if method is not None:
            options = {} if path.suffix == ".py" else {"trimmed": "true"}
            for _, text, _, _ in extract_from_file(method, str(path), keywords=KEYWORDS, options=options):
                yield text if isinstance(text, str) else tuple(text)
            if path.suffix == ".py":
                yield from within_f_strings(path.read_text(encoding="utf-8"))
            for one, many in COUNTING.findall(path.read_text(encoding="utf-8")):
                yield one, many or f"{one}s"


def within_f_strings(code: str) -> Iterator[str]:
    """Texts looked up inside an f-string, which is one token to Babel before Python 3.12."""
    for outer in ast.walk(ast.parse(code)):
        for call in ast.walk(outer) if isinstance(outer, ast.JoinedStr) else ():
            if isinstance(call, ast.Call) and getattr(call.func, "id", "") == "gettext":
                yield from (arg.value for arg in call.args if isinstance(arg, ast.Constant))


@pytest.mark.parametrize("language", sorted(set(languages.LANGUAGES) - {"en"}))
def test_a_language_has_every_text_and_none_that_is_gone(language):
    with (languages.HERE / f"{language}.po").open("rb") as file:
        catalogue = read_po(file, locale=language, abort_invalid=True)
    known = {one.id: one.string for one in catalogue if one.id and not one.context}
    used = set(texts_in_code())
    known_alone = {one[0] for one in known if isinstance(one, tuple)}
    assert used - set(known) - known_alone == set()
    assert set(known) - used == set()
    for text, translated in known.items():
        each = translated if isinstance(translated, tuple) else (translated,)
        assert all(each), text
        one = text if isinstance(text, str) else text[0]
        for form in each:
            assert sorted(re.findall(r"%\(\w+\)s", form)) == sorted(re.findall(r"%\(\w+\)s", one)), text


@pytest.mark.parametrize("language", sorted(set(languages.LANGUAGES) - {"en"}))
def test_no_text_of_a_language_stands_twice(language):
    """Readers of catalogues take the last of two, so a correction of the first would change nothing."""
    entries = (languages.HERE / f"{language}.po").read_text(encoding="utf-8").split("\n\n")
    told = [re.search(r'^(msgctxt.*\n)?msgid (?:.*\n)(?:".*\n)*', one, re.MULTILINE) for one in entries]
    texts = [one[0] for one in told if one]
    assert len(texts) > 1000
    assert sorted(text for text in set(texts) if texts.count(text) > 1) == []


def words_of(page: str) -> set[str]:
    """What people read of a page, piece by piece: texts, and those that are heard or shown in fields."""
    body = re.sub(r"<(script|svg|style)\b.*?</\1>", "", page, flags=re.DOTALL)
    said = "label|away|one|many|wrong|throw|again"
    texts = re.findall(r">([^<>]+)<", body)
    texts += re.findall(rf'(?:aria-label|placeholder|data-(?:{said}))="([^"]*)"', body)
    pieces = (" ".join(html.unescape(text).split()) for text in texts)
    return {piece.removesuffix(" · Shot to Ship") for piece in pieces} - {""}


def test_what_is_german_is_german_whole(app):
    """No piece of any page with a word of four letters stands in the English page too, but for names and examples."""
    plan_id = publish_pots(app.service)
    app.client.post(f"/plans/{plan_id}/press", data={"what": "shots", "shots": "5"})
    app.client.post(f"/plans/{plan_id}/press", data={"what": "downtime", "hours": "0.5"})
    asks = [*HEAD, *(ask for section in SECTIONS for ask in section.asks)]
    names = SAME | {ask.sample for ask in asks} | {ask.usual for ask in asks}
    names |= set(re.findall(r"[\w-]+", pot_campaign().model_dump_json()))
    left = {}
    for path in (*ALONE, *(f"/plans/{plan_id}{leaf}" for leaf in (*LEAVES, "/press?said=shots"))):
        english, german = (app.client.get(path, headers=headers) for headers in ({"accept-language": "en"}, GERMAN))
        assert '<html lang="de">' in german.text
        assert german.headers["content-language"] == "de"
        assert "Accept-Language" in german.headers["vary"]
        both = words_of(english.text) & words_of(german.text)
        if path == "/start":
            both -= {html.unescape(one) for one in re.findall(r'<option value="[a-z-]+">([^<]+)', english.text)}
        unknown = {one for one in both - names if not names.issuperset(re.findall(r"[A-Za-z-]{4,}", one))}
        left |= {path: unknown} if unknown else {}
    assert left == {}


def test_the_language_and_the_weights_are_chosen_at_the_foot_and_kept(app):
    plan_id = publish_pots(app.service)
    chosen = {"language": "de", "weights": "lb", "back": f"/plans/{plan_id}/press"}
    answer = app.client.post("/reading", data=chosen, follow_redirects=False)
    assert answer.headers["location"] == f"/plans/{plan_id}/press"
    assert "Schuss aufschreiben" in app.client.get(f"/plans/{plan_id}/press").text
    waste = app.client.get(f"/plans/{plan_id}").text
    assert re.search(r"\d\u202flb", waste)
    assert not re.search(r"\d\u202fkg", waste.partition("What is waste?")[2].partition("</dl>")[0])
    away = app.client.post("/reading", data=chosen | {"back": "https://elsewhere.example/"}, follow_redirects=False)
    assert away.headers["location"] == "/"
    odd = app.client.post("/reading", data={"language": "xx"}, follow_redirects=False)
    assert "reads=en.kg" in odd.headers["set-cookie"]


def read_as(language: str, locale: str = "") -> Iterator[None]:
    reading.begin(Reader(language, locale or language))
    yield
    reading.begin(reading.NOBODY)


@pytest.fixture
def in_german() -> Iterator[None]:
    yield from read_as("de")


@pytest.fixture
def in_american() -> Iterator[None]:
    yield from read_as("en", "en_US")


def test_every_sentence_of_form_rules_and_cautions_has_its_pattern(in_german):
    """What the form asks, what each rule says, each caution and who says so: none stays English."""
    asked = {one for s in SECTIONS for one in (s.title, s.one, s.hint, *(ask.label for ask in s.asks)) if one}
    asked |= {ask.label for ask in HEAD} | set(RULES.values()) | set(HELP.values())
    warned = [value for name, value in vars(texts).items() if name.isupper()]
    cautions = {
        one for one in strings_in(warned) if len(one.split()) > 2 and not re.match(r"29 CFR|HSE|Polyplastics", one)
    }
    assert len(asked) > 150
    assert len(cautions) > 20
    same = {"Name", "Material"}
    written = {re.sub(r"\{\w+[^}]*\}", "7", one).strip() for one in cautions}
    assert {one for one in asked | written if said(one) == one and one not in same} == set()


def test_a_text_that_the_file_has_whole_is_said_as_it_stands_there(in_german):
    """Of several sentences too, though a pattern would fit one of them."""
    whole = {text: to for text, to in catalogue("de", CONTEXT).items() if "%(" not in text}
    assert len(whole) > 1000
    assert {text for text, to in whole.items() if said(text.replace("%%", "%")) != to.replace("%%", "%")} == set()


def strings_in(value: object) -> Iterator[str]:
    """Every text in lists, tuples and dicts."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from strings_in(list(value.values()))
    elif isinstance(value, list | tuple):
        for one in value:
            yield from strings_in(one)


def test_a_pattern_that_no_code_says_any_more_is_taken_out():
    """Each longer word of it stands in some text of the code."""
    code = " ".join(
        path.read_text(encoding="utf-8") for floor in ("planner", "api") for path in (ROOT / floor).rglob("*.py")
    )
    spoken = set(re.findall(r"[A-Za-z]{4,}", code))
    for pattern in languages.catalogue("de", CONTEXT):
        words = re.findall(r"[A-Za-z]{4,}", re.sub(r"%\(\w+\)s", " ", pattern))
        assert spoken.issuperset(words), pattern


def test_what_binds_a_plan_is_told_in_german_with_names_as_typed(in_german):
    """A whole chain of the planner's, its days and figures written as in Germany."""
    plan = pot_plan()
    waited = ["packing (run-1)", "tool press, ready Mon 4 Jan"]
    spent = [SimpleNamespace(what="press one", hours=48.0), SimpleNamespace(what="closed hours", hours=24.0)]
    told = said(chain_words("the order", datetime(2027, 1, 26, 16), waited, spent))
    assert told.startswith("the order ist ganz weg am Di., 26. Jan. 16:00. Rückwärts gerechnet wartete es auf: ")
    assert "Werkzeug press, fertig am Mo., 4. Jan. Von den" in told
    assert told.endswith("Von den 3,0 Tagen bis dahin: 2,0 an Maschine one, 1,0 geschlossen.")
    assert plan.why is None or not re.search(r"Working back|waited for", said(plan.why.words))
    assert said("tool lid, ready Wed 13 Jan.") == "Werkzeug lid, fertig am Mi., 13. Jan."
    assert said("31\u202f156\u202fGBP") == "31.156\u00a0£"
    assert said("10.25\u202fkg for 12.5\u202f%") == "10,2\u202fkg for 12,5\u202f%"


def test_how_long_acetal_may_stay_is_german_to_its_last_figure(in_german):
    """The whole table, in the caution that stands on the sheet at the press."""
    told = said(
        "POM stays about 7 min in barrel 1 of press `small` with tool `valve` (0.28 kg at 16 g a shot), so at most "
        f"230 °C. It may stay {dwell.said()}; before a longer stop, empty the barrel. {texts.CLOSING}"
    )
    assert "60 min bei 200 °C, 30 bei 210, 10 bei 230 bleiben; vor einem längeren Halt leere den Zylinder." in told
    assert " at " not in told
    assert told.endswith("gehen vor.")


def test_a_sentence_that_is_not_known_stays_whole(in_german):
    """No word of a caution is put into another language by itself; the sentence behind it that is known is."""
    odd = "Keep to 8 until the guard is closed, before a tool is changed, purge guard closed"
    assert said(odd) == odd
    assert said(f"{odd}. Lock-out first.") == f"{odd}. Lock-out first."
    closing = "Local codes, the supplier's data sheet and licensed practice come first."
    assert said(f"{odd}. {closing}").startswith(f"{odd}. Örtliche Vorschriften")
    assert said("one: small, white, first run: 540 shots, until 11:55") == (
        "one: small, white, erster Lauf: 540 shots, bis 11:55"
    )


def test_days_in_the_planners_sentences_are_those_of_the_page(in_american):
    """One style of days: what the planner wrote stands as the page writes them."""
    assert said("tool lid, ready Tue 26 Jan") == f"tool lid, ready {wording.short_day(date(2027, 1, 26))}"
    assert said("by Tue 26 Jan 2027 06:00") == f"by {wording.day(date(2027, 1, 26))} 06:00"
    assert said("Tue 26 Jam, May 3") == "Tue 26 Jam, May 3"


def test_an_update_is_written_in_the_supporters_language():
    """Line by line; the maker's own words and names stay."""
    late = "promised by 19 February 2027; the day we can stand by is now 1 March 2027, 10 days later."
    table = "| Tier | Packed | All sent by |"
    text = f"# Pots\n\n## Dates we cannot keep\n\n- pair will be late: {late}\n\n{table}"
    told = in_language(text, "de")
    assert told.startswith(
        "# Pots\n\n## Tage, die wir nicht halten können\n\n- pair wird zu spät: zugesagt bis 19. Februar 2027; "
    )
    assert "1. März 2027, 10 Tage später." in told
    assert told.endswith("| Stufe | Gepackt | Alles verschickt bis |")
    assert in_language(text, "en") == text


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


def test_what_programs_ask_for_is_the_same_for_everybody(app):
    """Files and the API do not change with a browser's language."""
    plan_id = publish_pots(app.service)
    for path in ("pictures/floor.svg", "lists/runs.csv", "labels.csv"):
        plain, german = (app.client.get(f"/v1/plans/{plan_id}/{path}", headers=each) for each in ({}, GERMAN))
        assert plain.content == german.content


@pytest.mark.parametrize("rule", RULES)
def test_what_the_auditor_found_is_german_around_its_own_words(rule, in_german):
    """The rule is said in German; the finding stays as the auditor wrote it, and is said to be so."""
    finding = "run r3 ends at 06:00. It should end at 07:00; A wish (run r4) is not kept"
    failed = Problem(rule, broken(rule, finding))
    told = said(failed.message)
    assert told == f"Regel {rule} hält nicht ({said(RULES[rule])}). Die Prüfung schreibt dazu auf Englisch: {finding}"
    assert said(RULES[rule]) != RULES[rule]
    aside = said(set_aside(AuditFailed([failed])).text)
    assert aside.startswith("Der zuerst gefundene Plan verletzte eine Regel seiner eigenen Prüfung")
    assert aside.endswith(told)


def test_a_list_within_a_list_is_german_whole(in_german):
    """What a slip does, tier by tier, in front of who waits and what it costs."""
    told = said(
        "Ten days on the valve tool: single and pair leave 10 days late, trio leaves 7 days later (11 days late), "
        "windowsill leaves 11 days late; 4,856 orders wait up to 11 days longer; 11\u202f793\u202fGBP more; planning "
        "again wins back 3 days and 4\u202f423\u202fGBP."
    )
    assert told == (
        "Zehn Tage bei Werkzeug valve: single und pair gehen 10 Tage zu spät, trio geht 7 Tage später (11 Tage zu "
        "spät), windowsill geht 11 Tage zu spät; 4,856 Bestellungen warten bis zu 11 Tage länger; 11.793\u00a0£ mehr; "
        "neu planen holt 3 Tage zurück und 4.423\u00a0£."
    )


def test_scripts_of_pages_hold_no_words_of_their_own():
    """What a script says stands in its page, where it has its German: a script has selectors and formats only."""
    spoken = re.compile(r"""(["'`])((?:(?!\1)[^\\\n])*[A-Za-z]{3,},? [a-z]{2,}(?:(?!\1)[^\\\n])*)\1""")
    known = {"use strict", "main form :focus"}
    for path in sorted((ROOT / "api" / "pages" / "static").glob("*.js")):
        code = re.sub(r"^\s*//.*$", "", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
        code = re.sub(r"\$\{[^{}]*\}", "", code)
        found = [text for _, text in spoken.findall(code) if text not in known]
        assert [text for text in found if not re.search(r"[{}=;]|[#.\[]\w", text)] == [], path.name
