"""JSON by RFC 8259: what two readers could read differently is not read at all."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from api.http.strict_json import NotJson, parse
from planner.campaign.base import tidy

DEEPEST = 32
values = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**18), 10**18) | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")),
    lambda inner: st.lists(inner, max_size=4)
    | st.dictionaries(
        # Two names that differ in blanks alone are one name twice, and refused.
        st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")).map(tidy), inner, max_size=4
    ),
    max_leaves=20,
)  # fmt: skip


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(values)
def test_whatever_json_is_comes_back(value):
    """Every honest document means the same before and after, with or without escapes."""
    assert parse(json.dumps(value).encode(), DEEPEST) == value
    assert parse(json.dumps(value, ensure_ascii=False).encode(), DEEPEST) == value


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b'{"a": 1, "a": 2}', "twice"),
        (b'[{"x": {"b": 1, "b": 1}}]', "twice"),
        (b'{"a": NaN}', "NaN"),
        (b'{"a": -Infinity}', "Infinity"),
        (b'{"a": 1e999}', "bounds"),
        (b'{"a": ' + b"9" * 5000 + b"}", "digits"),
        (b"[" * 40 + b"]" * 40, "deeper"),
        (b'{"a":' * 100_000, "deeper"),
        (b'{"a": "\\ud800"}', "half a character"),
        (b'{"\\udfff": 1}', "half a character"),
        (b'{"a": ["\\u0000"]}', "null"),
        (b'{"a": "\xff"}', "UTF-8"),
        (b"{", "line 1, column 2"),
        (b'{"a": 1,}', "line 1"),
        (b"", "line 1"),
        (b'{"a": "\n"}', "line 1"),
        (b"{'a': 1}", "line 1"),
        (b'"\\ud800" x', "line 1"),
    ],
)
def test_what_is_refused_says_why(body, words):
    """Each with a sentence, none with a crash."""
    with pytest.raises(NotJson, match=words):
        parse(body, DEEPEST)


def test_brackets_inside_texts_are_no_depth():
    """A text may hold as many brackets as it likes, and escaped quotes too."""
    assert parse(b'{"a": "' + b"[" * 1000 + b'\\"' + b"{" * 1000 + b'"}', DEEPEST)


def test_a_mark_at_the_beginning_is_no_error():
    """Some editors put a byte order mark before everything they save."""
    assert parse(b"\xef\xbb\xbf{}", DEEPEST) == {}
