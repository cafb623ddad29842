"""A parameter that an address does not take is refused, and the near one is named."""

import pytest


def test_a_slip_of_the_pen_is_told_with_what_was_meant(app):
    answer = app.client.get("/v1/plans?limitt=5&colour=red")
    assert answer.status_code == 422
    problem = answer.json()
    assert problem["type"] == "/problems/invalid"
    found = {e["pointer"]: e["remedy"] for e in problem["errors"]}
    assert found["limitt"] == "did you mean `limit`?"
    assert "`cursor`" in found["colour"]


def test_an_address_without_parameters_says_so(app):
    answer = app.client.get("/v1/keys?sort=name")
    assert answer.status_code == 422
    assert "no parameters" in answer.json()["errors"][0]["remedy"]


@pytest.mark.parametrize("address", ["/v1/plans?limit=5", "/v1/plans", "/v1/keys"])
def test_known_ones_are_taken(app, address):
    assert app.client.get(address).status_code == 200
