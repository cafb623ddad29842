"""In what order a page is read out, which is that of its elements: one title, headings that leave no level out, the
answer before the tables, names for what can be used (WCAG 2.2, 1.3.1, 1.3.2, 2.4.6, 4.1.2, from memory)."""

from html.parser import HTMLParser
from itertools import pairwise

import pytest

from tests.api.page_addresses import ALONE, LEAVES
from tests.api.plan_fixtures import publish_pots

VOID = {"input", "img", "br", "hr", "meta", "link", "rect", "path"}


class ReadOut(HTMLParser):
    """What a page says, in order: (what it is, its words)."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.heard: list[tuple[str, str]] = []
        self.open: list[str] = []
        self.labels: set[str] = set()
        self.fields: list[dict[str, str]] = []
        self.skipped = 0
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        self.labels |= {said["for"]} if tag == "label" and "for" in said else set()
        if tag in {"input", "select", "textarea"} and said.get("type") != "hidden":
            self.fields.append(said | {"within": "label" if "label" in self.open else ""})
        if tag in {"h1", "h2", "h3", "h4", "main", "nav", "table", "button", "summary"}:
            self.heard.append((tag, said.get("aria-label", "")))
        if said.get("id") == "verdict":
            self.heard.append(("verdict", ""))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self.open:
            while self.open.pop() != tag:
                pass

    def handle_data(self, data: str) -> None:
        words = " ".join(data.split())
        if words and self.heard and {"svg", "script", "style"}.isdisjoint(self.open):
            self._add(-1, words)
            if len(self.heard) > 1 and self.heard[-2][0] == "summary":  # a heading in a line that folds names both
                self._add(-2, words)

    def _add(self, at: int, words: str) -> None:
        what, before = self.heard[at]
        if what in self.open or what == "verdict":
            self.heard[at] = (what, f"{before} {words}".strip())

    def what(self, *kinds: str) -> list[tuple[str, str]]:
        return [one for one in self.heard if one[0] in kinds]


@pytest.fixture
def pages(app):
    """Every page's address and how it is read out."""
    plan_id = publish_pots(app.service)
    paths = [*ALONE, *(f"/plans/{plan_id}{leaf}" for leaf in LEAVES)]
    return {path.replace(plan_id, "-"): ReadOut(app.client.get(path).text) for path in paths}


def test_a_page_has_one_title_and_no_heading_is_skipped(pages):
    """The first heading is the only h1; the next is at most one level deeper than the one before."""
    for path, read in pages.items():
        headings = read.what("h1", "h2", "h3", "h4")
        assert [tag for tag, _ in headings].count("h1") == 1, path
        assert headings[0][0] == "h1", path
        levels = [int(tag[1]) for tag, _ in headings]
        assert all(deeper <= before + 1 for before, deeper in pairwise(levels)), (path, headings)
        assert all(words for _, words in headings), (path, headings)


def test_the_page_begins_with_its_content_and_says_where_it_is(pages):
    """Everything but the way around stands in the one `main`, its title first."""
    for path, read in pages.items():
        order = [tag for tag, _ in read.what("main", "h1")]
        assert order == ["main", "h1"], path
        assert all(words for tag, words in read.heard if tag == "nav"), path


def test_every_button_and_field_has_a_name(pages):
    for path, read in pages.items():
        assert all(words for _, words in read.what("button", "summary")), (path, read.what("button", "summary"))
        nameless = [
            one
            for one in read.fields
            if one.get("id", "-") not in read.labels and not one.get("aria-label") and not one["within"]
        ]
        assert nameless == [], path


def test_the_answer_is_read_before_the_tables(pages):
    """On the plan's page: will I keep my promises, in a sentence; then tables; then what to do today."""
    heard = pages["/plans/-"].heard
    kinds = [what for what, _ in heard]
    assert kinds.index("verdict") < kinds.index("table")
    assert dict(heard)["verdict"]
    asked = [words for what, words in heard if what == "h2"]
    assert [one.split("?")[0] for one in asked[:3]] == [
        "Will I keep my promises",
        next(one for one in asked if one.startswith("What must I do")).split("?")[0],
        "What has changed",
    ]
