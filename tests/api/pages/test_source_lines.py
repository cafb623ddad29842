"""A problem's line is the one on which its field stands, however the text is laid out."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from api.pages.source_lines import line_of, with_lines
from planner.errors import Problem

DOCUMENT = {
    "name": "v1", "list": ["v2", {"a": "v3", "b": [["v4", "v5"], "v6"]}, [], {}, "v7"], "empty": {},
    "parts": {"a/b": {"~": "v8"}, "0": "v9", "é\"\\": "v10"}, "last": "v11",
}  # fmt: skip


def leaves(value: Any, pointer: str = "") -> Iterator[tuple[str, str]]:
    """(pointer, text) of each value that is no container."""
    if isinstance(value, str):
        yield pointer, value
        return
    for name, inner in value.items() if isinstance(value, dict) else enumerate(value):
        yield from leaves(inner, f"{pointer}/{str(name).replace('~', '~0').replace('/', '~1')}")


@pytest.mark.parametrize("layout", [{"indent": 1}, {"indent": 4, "separators": (" ,", " : ")}, {}])
@pytest.mark.parametrize("before", ["", "\n\n", "\ufeff \n"])
def test_each_value_is_found_on_the_line_where_it_can_be_seen(layout, before):
    """Each text stands in the document once, so that its line can be counted without reading JSON."""
    text = before + json.dumps(DOCUMENT, **layout)
    found = dict(leaves(DOCUMENT))
    assert len(found) == 11
    for pointer, value in found.items():
        seen = text[: text.index(f'"{value}"')].count("\n") + 1
        assert line_of(text, pointer) == seen, pointer


def test_what_is_not_there_is_shown_where_it_is_missing():
    """The deepest field above it; of the whole, no line."""
    text = json.dumps({"a": 1, "b": {"c": [1, 2]}, "d": 3}, indent=1)  # a 2, b 3, c 4, its numbers 5 and 6, d 9
    assert [line_of(text, pointer) for pointer in ("/a", "/b", "/b/c", "/b/c/0", "/b/c/1", "/d")] == [2, 3, 4, 5, 6, 9]
    assert line_of(text, "/b/c/2") == 4
    assert line_of(text, "/b/x/y/z") == 3
    assert line_of(text, "/d/deeper") == 9
    assert line_of(text, "/x") == 1
    assert line_of(text, "") == 0


@pytest.mark.parametrize(
    ("text", "line"), [("", 0), ("no JSON", 1), ('{"a": 1,\n', 1), ('{\n"a": [1,\n2', 2), ('{"b"', 0)]
)
def test_text_that_breaks_off_is_no_error(text, line):
    """The last line on which something above the field was found."""
    assert line_of(text, "/a/7") == line


def test_problems_come_in_the_order_of_their_lines():
    """Those of one line by their pointer; of the whole first."""
    text = '{"a": 1,\n"b": 2, "c": 3}'
    told = with_lines(text, [Problem(pointer, "m", "r") for pointer in ("/c", "/b", "/a", "")])
    assert [(one.line, one.pointer) for one in told] == [(0, ""), (1, "/a"), (2, "/b"), (2, "/c")]
    assert {(one.message, one.remedy) for one in told} == {("m", "r")}
