"""Which form is answered, by `Accept` (RFC 9110, 12.5.1), and how long one waits, by `Prefer` (RFC 7240)."""

import pytest

from api.http.negotiation import choose, preferred_wait, prefers_async
from api.service.refusals import NotAcceptable

CSV, JSON, HTML = "text/csv", "application/json", "text/html"


@pytest.mark.parametrize(
    ("accept", "chosen"),
    [
        (None, JSON), ("", JSON), ("*/*", JSON), ("text/csv", CSV), ("TEXT/CSV", CSV), ("text/*", CSV),
        ("application/json;q=0.1, text/csv", CSV), ("application/json;q=0.9, text/csv;q=0.8", JSON),
        ("*/*;q=0.1, text/html", HTML),
        # RFC 9110: the most specific range that matches counts, not the one liked most
        ("*/*, application/json;q=0", CSV), ("text/*, text/csv;q=0.1, application/json;q=0.5", HTML),
        # of equals what we like best; of the same range said twice the better
        ("text/csv, application/json", JSON), ("text/csv;q=0.2, application/json;q=0.5, text/csv;q=0.9", CSV),
        ("text/csv; header=present; q=0.3, application/json;q=0.2", CSV), ("text/csv , ,application/json;q=0.5", CSV),
        # a weight that is none is no wish
        ("text/csv;q=2, application/json;q=0.1", JSON), ("text/csv;q=high, */*;q=0.1", JSON),
    ],
)  # fmt: skip
def test_what_is_liked_most_is_answered(accept, chosen):
    assert choose(accept, [JSON, CSV, HTML]) == chosen


@pytest.mark.parametrize("accept", ["image/png", "application/*;q=0", "*/*;q=0", "text/csv;q=0", "csv"])
def test_what_there_is_not_is_refused_with_what_there_is(accept):
    with pytest.raises(NotAcceptable) as refused:
        choose(accept, [JSON, CSV] if "text" not in accept else [CSV])
    assert CSV in refused.value.detail


@pytest.mark.parametrize(
    ("prefer", "seconds"),
    [
        (None, 0), ("", 0), ("wait=5", 5), ("respond-async, wait=10", 10), ("wait=10; respond-async", 10),
        ("WAIT=7", 7), ('wait="8"', 8), ("wait = 9", 9), ("wait=60", 60), ("wait=61", 60), ("wait=999999", 60),
        ("wait=-5", 0), ("wait=soon", 0), ("await=5", 0), ("wait=5s", 0), ("handling=lenient", 0),
    ],
)  # fmt: skip
def test_a_wait_is_as_long_as_asked_for_but_a_minute(prefer, seconds):
    assert preferred_wait(prefer) == seconds


@pytest.mark.parametrize(
    ("prefer", "at_once"),
    [(None, False), ("respond-async", True), ("Respond-Async, wait=5", True), ("wait=5,respond-async", True),
     ("wait=5", False), ("respond-asynchronously", False), ("not-respond-async", False)],
)  # fmt: skip
def test_an_answer_at_once_is_asked_for_by_name(prefer, at_once):
    assert prefers_async(prefer) is at_once
