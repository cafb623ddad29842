"""The floor's log in words for people outside."""

from planner.actuals.entries import Actuals
from planner.actuals.happened import happened
from tests.planner.promise.chains import chain


def test_each_kind_of_thing_is_told_once():
    """Sums by kind, the last news of a tool, minutes of standing still left out, and no date at all."""
    at = {"at": "2027-01-05T08:00"}
    shots = at | {"what": "shots", "press": "one", "tool": "a", "colours": ["grey"]}
    entries = [
        at | {"what": "tool", "tool": "a", "ready": "2027-01-20"},
        at | {"what": "tool", "tool": "a"},
        at | {"what": "tool", "tool": "b", "ready": "2027-01-02"},
        shots | {"shots": 900},
        shots | {"shots": 300},
        at | {"what": "delivery", "of": "piece", "id": "leaflet", "amount": 500},
        at | {"what": "delivery", "of": "resin", "id": "pp", "amount": 12.5},
        at | {"what": "ordered", "of": "piece", "id": "leaflet", "amount": 200, "due": "2027-02-01"},
        at | {"what": "lot", "part": "a", "colours": ["grey"], "pieces": 50, "accepted": False},
        at | {"what": "lot", "part": "a", "colours": ["grey"], "pieces": 70, "accepted": True},
        at | {"what": "assembled", "product": "thing", "units": 40},
        at | {"what": "packed", "line": 0, "parcels": 30},
        at | {"what": "packed", "line": 0, "parcels": 5},
        at | {"what": "downtime", "press": "one", "hours": 0.5},
        at | {"what": "downtime", "press": "one", "hours": 3},
    ]
    log = Actuals.model_validate({"as_of": "2027-01-06", "entries": entries})
    campaign = chain({"a": (3, 3, 3), "b": (1, 1, 1)})
    assert happened(campaign, log.entries) == [
        "the mould for a is here and good",
        "the mould for b comes 2 days earlier than planned",
        "came: 500 leaflet and 12.5 kg of pp",
        "ordered: 200 leaflet",
        "moulded: 1,200 a",
        "inspected and not good enough: 50 a",
        "put together: 40 thing",
        "packed: 35 parcels of one",
        "a machine stood still for 4 hours",
    ]
    assert happened(campaign, []) == []
