"""Lists by pages: what ends one begins the next, and nothing else is taken for a place in a list."""

import base64
import json
from types import SimpleNamespace
from urllib.parse import parse_qs, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.plans.cursors import PageRequest, read_cursor, write_cursor
from api.service.refusals import BadRequest


@given(st.floats(0, 4e9), st.text("abcdef0123456789", min_size=1, max_size=40))
def test_what_is_written_is_read(moment, plan):
    """Whatever its length, as text that needs no escape in an address."""
    text = write_cursor(moment, plan)
    assert read_cursor(text) == (moment, plan)
    assert "=" not in text


@pytest.mark.parametrize(
    "said", [[1.0], [1, "a"], ["1.0", "a"], [float("inf"), "a"], [1.0, 7], [1.0, "a;b"], [1.0, "é"], 3]
)
def test_what_is_none_of_ours_is_refused(said):
    """A moment that is a number with a point, and an id of letters and digits."""
    text = base64.urlsafe_b64encode(json.dumps(said).encode()).decode().rstrip("=")
    with pytest.raises(BadRequest):
        read_cursor(text)
    with pytest.raises(BadRequest):
        read_cursor("nonsense")


def rows(number: int) -> list[SimpleNamespace]:
    return [SimpleNamespace(id=f"id{n}", created_at=100.0 - n) for n in range(number)]


@pytest.mark.parametrize(("there", "shown", "more"), [(0, 0, False), (2, 2, False), (3, 3, False), (4, 3, True)])
def test_a_next_page_is_said_where_there_is_one(there, shown, more):
    """Exactly a page's worth is the last page; the next one begins behind the last row that was shown."""
    asked = PageRequest(limit=3, cursor=None)
    assert asked.before is None
    found, address = asked.shown(rows(there)[: asked.wanted], "/v1/plans", state="done", label=None)
    assert len(found) == shown
    assert (address is not None) == more
    if address is not None:
        said = parse_qs(urlsplit(address).query)
        assert (said["limit"], said["state"]) == (["3"], ["done"])
        assert "label" not in said
        assert PageRequest(limit=3, cursor=said["cursor"][0]).before == (98.0, "id2")
