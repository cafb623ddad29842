"""Every text that the planner and the services put together has its German: gathered from the syntax trees, so that no
new one stays English without anybody noticing."""

import itertools
import re
from collections.abc import Iterator
from functools import cache

import pytest

from api import languages
from api.languages import reading
from api.languages.reading import Reader
from api.languages.sentences import CONTEXT, rewritten, said
from tests.support.text_templates import ROOT, Template, templates

SPOKEN = (
    "planner/reading", "planner/campaign", "planner/cautions", "planner/schedule", "planner/planning", "planner/plan",
    "planner/why", "planner/actuals", "planner/promise", "planner/slips", "planner/settled", "planner/expected",
    "planner/purge", "planner/dispatch", "planner/demand", "planner/material", "planner/frontier",
    "planner/colourways", "planner/readiness", "planner/quality", "api/uploads", "api/services", "api/documents",
    "api/service", "api/plans", "api/slips", "api/promises", "api/actuals", "api/frontier", "api/studies", "api/labels",
    "api/pages",
)  # fmt: skip
NOT_SPOKEN = {
    "planner/campaign/families.py": "words of resins, and the sources of their figures",
    "planner/campaign/family_words.py": "words of resins",
    "planner/campaign/mould_temperature.py": "sources of figures",
    "planner/dispatch/countries.py": "names of countries, as people write them",
    "planner/dispatch/labels.py": "a caller's mistake",
    "planner/promise/base_rate.py": "sources of figures",
    "planner/purge/order.py": "a caller's mistake",
    "planner/purge/washout.py": "a caller's mistake",
    "planner/schedule/packed.py": "a fault of ours",
    "planner/material/buying.py": "sentences put together of many pieces, which test_languages looks at",
    "planner/frontier/make.py": "the same",
    "api/uploads/personal.py": "words of headings",
    "api/documents/kept.py": "what a JSON document for programs says of itself",
    "api/documents/orders.py": "words of the OpenAPI document, beside a refusal that has its German",
    "api/pages/auth.py": "the name of a limiter, beside refusals that have their German",
    "api/pages/form_fields.py": "examples of what is typed; labels are looked at by test_languages",
    "api/pages/studies.py": "words of the OpenAPI document, beside a refusal that has its German",
    "api/pages/templating.py": "a line of the log",
    "api/plans/events.py": "the stream of events, which programs read",
    "api/plans/pictures.py": "what a list for programs says; the refusal beside it has its German",
    "api/service/counting.py": "names of measures, for whoever runs the service",
    "api/service/rate_limit.py": "a line of the log",
    "api/slips/tables.py": "words of the OpenAPI document",
    "api/studies/asking.py": "lines of a stream for programs, beside refusals that have their German",
    "planner/quality/operating.py": "a caller's mistake",
    "planner/quality/switching.py": "a caller's mistake",
}
"""Files without texts for a reader of pages, and why."""
MISTAKES = {"planner/dispatch/weights.py", "planner/demand/choices.py"}
"""Files whose ValueErrors are a caller's mistake, beside texts for a reader."""
NAME, FIGURE = "zz", "7"
"""What a gap is filled with: a name, or a figure."""
QUOTED = re.compile(r"`[^`]*`|\{[^}]*\}|\"[^\"]*\"")
GAP = re.compile(r"%\(\w+\)s")
NOT_GERMAN = re.compile(r"[A-Za-z]{5,}")
ALIKE = {"material", "region", "masterbatch"}
"""Words that are the same in both."""


@pytest.fixture(autouse=True)
def in_german() -> Iterator[None]:
    reading.begin(Reader("de", "de"))
    yield
    reading.begin(reading.NOBODY)


@pytest.mark.parametrize("folder", SPOKEN)
def test_no_sentence_is_without_its_german(folder):
    """Filled with names or figures it is translated whole, or it is a piece of a pattern that is."""
    found = {}
    for one in templates(folder):
        file = one.where.split(":")[0]
        if file not in NOT_SPOKEN and not (one.mistake and file in MISTAKES):
            found[str(one)] = one
    assert {text: one.where for text, one in found.items() if not known(one)} == {}


def known(template: Template) -> bool:
    if str(template).replace("%%", "%") in looked_up():
        return True
    gaps = template.pieces.count(None)
    fillings = itertools.islice(itertools.product((NAME, FIGURE), repeat=gaps), 64)
    return any(translated(filled(template, one)) for one in fillings) or is_piece(template)


@cache
def looked_up() -> set[str]:
    """Texts that the pages' own code looks up."""
    return {text.replace("%%", "%") for text in languages.catalogue("de", None)}


def filled(template: Template, fillers: tuple[str, ...]) -> str:
    left = iter(fillers)
    return "".join(next(left) if piece is None else piece for piece in template.pieces).strip()


def translated(text: str) -> bool:
    """Whether none of its words stayed, but for what is quoted from the document."""
    told = said(text)
    if told in (text, rewritten(text)):
        return False
    words = set(NOT_GERMAN.findall(QUOTED.sub("", text)))
    return not words & set(NOT_GERMAN.findall(QUOTED.sub("", told))) - ALIKE


def is_piece(template: Template) -> bool:
    """Whether a pattern of the catalogue holds it: `the barrel holds` of `fits only where the barrel holds %(1)s`."""
    gaps = template.pieces.count(None)
    words = filled(template, ("\0",) * gaps).strip(" ,;:").split("\0")
    pattern = re.compile(".+?".join(map(re.escape, words)))
    return any(pattern.search(text) for text in patterns())


@cache
def patterns() -> list[str]:
    return [GAP.sub(NAME, text).replace("%%", "%") for text in languages.catalogue("de", CONTEXT)]


def test_what_is_left_out_is_there():
    """A file that is gone, or moved, leaves no hole behind."""
    assert [path for path in {*NOT_SPOKEN, *MISTAKES} if not (ROOT / path).is_file()] == []
    assert [folder for folder in SPOKEN if not (ROOT / folder).exists()] == []


def test_a_sentence_without_german_is_found():
    """The check can fail: neither a whole sentence nor a piece of one."""
    odd = Template("here", ("the hatch of ", None, " is ajar at ", None))
    assert not known(odd)
    assert known(Template("here", ("press `", None, "` never opens")))
    assert known(Template("here", ("the ", None, " bench never opens")))
    assert not known(Template("here", ("press `", None, "` never opens its hatch")))


def test_texts_are_found_with_their_gaps():
    """Of constants, f-strings, alternatives in them, and texts that are filled later."""
    texts = {str(one) for one in templates("planner/reading/checks/orders.py")}
    assert "{} chooses {} colourway of `{}`, tier `{}` holds {}" in texts
    assert "{} chooses {} colourways of `{}`, tier `{}` holds {}" in texts
    cautions = {str(one) for one in templates("planner/cautions/texts.py")}
    assert any(text.startswith("The planner does not know what `{}` is made of") for text in cautions)
