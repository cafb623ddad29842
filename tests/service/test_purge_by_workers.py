"""The purge log, a compound and the price of a colourway by a real worker with the real planner behind a real queue."""

import copy

import pytest

from tests.api.purge.test_colourway_price import three_cups

pytestmark = pytest.mark.service


def test_log_compound_and_colourway_price_through_the_queue(make_live_service):
    """A log entry joins a plan when asked for, the plan cleans with compound, and one colourway fewer has its price."""
    live = make_live_service()
    live.real_planner = True
    live.start()
    cups = copy.deepcopy(three_cups())
    cups["planning"] = {"rounds": 2}
    cups["presses"]["p1"]["barrels"][0]["holds"] = "pp/ink"
    cups["resins"]["pp"] |= {"price_per_kg": 9}
    cups["purging"] = {"compound": {"price_per_kg": 1, "holdups": 0.5, "rinse_holdups": 0.5, "stock_kg": 20}}
    entry = {"press": "p1", "from": "pp/sage", "to": "pp/ink", "kg": 9, "confirmed": True}
    assert live.post("/v1/purge/log", entry).status_code == 201
    strange = {"press": "p9", "from": "pp/sage", "to": "pp/ink", "kg": 9}
    assert live.post("/v1/purge/log", strange).status_code == 201

    plain, learned = (
        live.post(address, cups, Prefer="wait=60").json() for address in ("/v1/plans", "/v1/plans?workshop_log=true")
    )
    assert plain["plan"]["purging"]["barrels"] == []
    said = learned["plan"]["purging"]
    assert [(one["press"], one["entries"]) for one in said["barrels"]] == [("p1", 1)]
    assert said["total_with_log"] == learned["plan"]["outcome"]["total"]
    assert said["total_unlogged"] is not None
    assert said["compound_use"]["kg"] > 0
    assert any(line["kind"] == "purging compound" for line in learned["plan"]["materials"])

    here = f"/v1/plans/{learned['id']}"
    asked = live.post(f"{here}/colourway-price", {"fewer": {"colourway": "ink"}, "rounds": 1})
    assert asked.status_code == 202
    result = asked.json()["result"]
    live.wait(lambda: live.get(result).status_code == 200, 60)
    price = live.get(result).json()
    assert price["purge_kg"]["difference"] == pytest.approx(
        price["purge_kg"]["changed"] - price["purge_kg"]["as_it_is"], abs=1e-5
    )
    assert price["changeovers"]["difference"] < 0
    assert price["total"]["as_it_is"] == pytest.approx(learned["plan"]["outcome"]["total"], rel=0.05)
    assert {line["colour"] for line in price["masterbatch"]} >= {"ink", "sage"}
