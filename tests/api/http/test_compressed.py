"""Answers go out gzipped to whoever takes that; streams, small answers and what has an entity tag go as they are."""

import gzip

import pytest

from api.http.compressed import LEAST, takes_gzip
from tests.api.plan_fixtures import publish_pots


@pytest.mark.parametrize(
    ("said", "taken"),
    [
        ("gzip", True),
        ("br, gzip;q=0.5", True),
        ("*", True),
        ("deflate,GZIP", True),
        ("", False),
        ("identity", False),
        ("gzip;q=0", False),
        ("gzip; q=0.000, br", False),
        ("x-gzipped", False),
    ],
)
def test_the_client_says_what_it_takes(said, taken):
    """RFC 9110, 12.5.3: a quality of zero is a no."""
    assert takes_gzip(said) is taken


@pytest.mark.parametrize("address", ["/plans/{}", "/v1/plans/{}/pictures/floor.svg", "/v1/plans/{}/paper"])
def test_texts_are_the_same_packed_and_not(app, address):
    """What is unpacked is what is sent plain, and caches are told that the two differ."""
    where = address.format(publish_pots(app.service))
    plain = app.client.get(where, headers={"Accept-Encoding": "identity"})
    assert "content-encoding" not in plain.headers
    with app.client.stream("GET", where, headers={"Accept-Encoding": "gzip"}) as packed:
        sent = b"".join(packed.iter_raw())
    assert packed.headers["content-encoding"] == "gzip"
    assert int(packed.headers["content-length"]) == len(sent) < len(plain.content) / 3
    assert gzip.decompress(sent) == plain.content
    for answer in (plain, packed):
        assert "Accept-Encoding" in answer.headers["vary"]


def test_what_has_an_entity_tag_streams_or_is_small_stays_as_it_is(app):
    """A tag names the very bytes; lines of a stream must not wait for a packer; a packet is a packet."""
    plan_id = publish_pots(app.service)
    tagged = app.client.get(f"/v1/plans/{plan_id}")
    assert "etag" in tagged.headers
    assert len(tagged.content) > LEAST
    streamed = app.client.get(f"/v1/plans/{plan_id}/lists/runs.csv")
    small = app.client.get("/v1/live")
    for answer in (tagged, streamed, small):
        assert answer.status_code == 200
        assert "content-encoding" not in answer.headers
