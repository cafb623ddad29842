"""The documentation is built strictly: links lead somewhere, nothing is fetched from elsewhere, nothing is left out."""

import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """Built as `./run docs` builds it, to another place."""
    out = tmp_path_factory.mktemp("site")
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", str(out)],
        cwd=ROOT, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr + done.stdout
    return out


class Fetched(HTMLParser):
    """What a browser fetches by itself for a page, and the page's own headings."""

    def __init__(self):
        super().__init__()
        self.addresses: list[str] = []
        self.headings = 0

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.headings += tag == "h1"
        if tag in {"script", "img", "iframe", "source", "embed"} and given.get("src"):
            self.addresses.append(given["src"])
        if tag == "link" and given.get("href"):
            self.addresses.append(given["href"])


def test_it_is_built_and_nothing_comes_from_elsewhere(site):
    """No address of another host in what a browser fetches, in pages and in the style sheet."""
    pages = sorted(site.rglob("*.html"))
    assert len(pages) > 25
    for page in pages:
        seen = Fetched()
        seen.feed(page.read_text(encoding="utf-8"))
        assert seen.headings == 1, page.name
        assert seen.addresses
        for address in seen.addresses:
            assert "//" not in address, (page.name, address)
            assert (page.parent / address).resolve().is_file(), (page.name, address)
    for sheet in site.rglob("*.css"):
        assert "url(" not in sheet.read_text() and "@import" not in sheet.read_text()  # noqa: PT018


def test_the_references_are_whole(site):
    """Every operation of the service, every command, every setting and the library's calls."""
    import planner
    from api.command.table import rows
    from worker.settings import Settings

    http = (site / "reference" / "http.html").read_text(encoding="utf-8")
    for known in (
        "POST /v1/plans<",
        "POST /v1/purge/colour-changes<",
        "GET /v1/plans/{plan_id}/paper",
        "GET /v1/ready<",
    ):
        assert known in http
    command = (site / "reference" / "command.html").read_text(encoding="utf-8")
    assert all(row.says.split(";")[0] in command.replace("&#x27;", "'") for row in rows())
    settings = (site / "reference" / "settings.html").read_text(encoding="utf-8")
    assert all(f"SHOT_TO_SHIP_{name.upper()}<" in settings for name in Settings.model_fields)
    library = (site / "reference" / "library.html").read_text(encoding="utf-8")
    assert all(f"planner.{name}<" in library for name in planner.__all__ if not name.startswith("_"))


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md", "CONTRIBUTING.md", "SECURITY.md", "CHANGELOG.md"])
def test_links_of_the_documents_at_the_top_lead_somewhere(name):
    """To files of this tree; other hosts are not asked."""
    links = LINK.findall((ROOT / name).read_text(encoding="utf-8"))
    for link in links:
        if not re.match(r"[a-z]+:|#", link):
            assert (ROOT / link.partition("#")[0]).exists(), link
