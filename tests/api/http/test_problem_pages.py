"""Every type of problem document has a page that says what it means and what helps."""

import inspect
import re
from html import unescape
from pathlib import Path

import pytest

from api.http import problems
from api.pages.api_client import Answered
from api.service.refusals import KINDS, Refused

ROOT = Path(__file__).resolve().parents[3]


def refusals(base=Refused):
    for one in base.__subclasses__():
        yield one
        yield from refusals(one)


def test_every_refusal_in_the_code_is_explained():
    """Those defined anywhere are those listed; a page that shows the API's own refusal adds no type."""
    import api.app  # noqa: F401  every module that could define one

    assert set(refusals()) - {Answered} == set(KINDS)
    assert len({one.kind for one in KINDS}) == len(KINDS)
    assert all(
        inspect.getdoc(one) and one.remedy and one.remedy != Refused.remedy for one in KINDS if one.kind != "request"
    )
    assert all(inspect.getdoc(one) != inspect.getdoc(Refused) for one in KINDS)


def test_every_address_in_the_code_leads_somewhere():
    """Whatever the sources, documents and templates call /problems/..."""
    named = set()
    for path in [*ROOT.glob("api/**/*.py"), *ROOT.glob("api/**/*.html"), ROOT / "README.md"]:
        named |= set(re.findall(r"/problems/([a-z-]+)", path.read_text()))
    assert named <= {one.kind for one in KINDS}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.kind)
def test_its_page(app, kind):
    """For programs and for people."""
    said = app.client.get(f"/problems/{kind.kind}").json()
    assert (said["type"], said["title"], said["status"]) == (f"/problems/{kind.kind}", kind.title, int(kind.status))
    assert said["meaning"]
    assert said["remedy"]
    page = app.client.get(f"/problems/{kind.kind}", headers={"Accept": "text/html,*/*;q=0.8"})
    assert page.headers["content-type"].startswith("text/html")
    assert kind.title in unescape(page.text)


def test_all_of_them_and_no_others(app):
    """A list for either; an unknown type is a problem of a known one."""
    listed = app.client.get("/problems").json()["problems"]
    assert [one["type"] for one in listed] == [f"/problems/{kind.kind}" for kind in KINDS]
    page = app.client.get("/problems", headers={"Accept": "text/html"}).text
    assert all(f'href="{one["type"]}"' in page for one in listed)
    unknown = app.client.get("/problems/bad-luck")
    assert (unknown.status_code, unknown.json()["type"]) == (404, "/problems/not-found")
    assert app.client.get(unknown.json()["type"]).status_code == 200


def test_the_openapi_document_links_them(app):
    """Each answer that is a problem document names its types' pages; the document names them all."""
    document = app.client.get("/v1/openapi.json").json()
    assert document["externalDocs"]["url"] == "/problems"
    linked = set()
    for methods in document["paths"].values():
        for operation in methods.values():
            for answer in operation["responses"].values():
                if problems.MEDIA_TYPE in answer.get("content", {}):
                    found = re.findall(r"\(/problems/([a-z-]+)\)", answer["description"])
                    assert found, (operation["operationId"], answer["description"])
                    linked |= set(found)
    assert linked == {kind.kind for kind in KINDS} - {"fault"}
