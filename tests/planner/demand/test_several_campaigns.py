"""For whom things are made where several campaigns share the floor (RULES.md, K), worked out by hand."""

import json
from typing import Any

import pytest

from api.demo import SITUATIONS
from planner.campaign import Campaign
from planner.demand.items import run_demands
from planner.demand.several_campaigns import MadeFor, campaigns, several
from planner.reading import read


def knobs_and_cores(cavities: int, taken: int) -> Campaign:
    """Knobs moulded over `taken` cores each, ordered by the campaign `knobs`, and cores sold as they are by `cores`."""
    data: dict[str, Any] = json.loads((SITUATIONS / "overmoulding.json").read_text())
    data["tools"]["grip"]["cavities"] = {"knob": cavities}
    data["parts"]["knob"]["moulded_over"]["parts"][0]["number"] = taken
    data["products"]["peg"] = {
        "parts": {"core": 1}, "assembly_minutes": 0.5, "colourways": {"ink": {"core": ["ink"]}},
    }  # fmt: skip
    data["tiers"] = {
        "one": data["tiers"]["one"] | {"campaign": "knobs"},
        "two": data["tiers"]["one"] | {"units": {"peg": 1}, "campaign": "cores"},
    }
    data["orders"] = [
        {"tier": "one", "units": {"knob": ["cream"]}, "count": 300},
        {"tier": "two", "units": {"peg": ["ink"]}, "count": 100},
    ]
    return read(data)


@pytest.mark.parametrize(("cavities", "taken"), [(1, 1), (2, 1), (2, 3)])
def test_what_goes_into_moulds_is_for_whom_the_moulded_part_is(cavities: int, taken: int) -> None:
    """Every shot of the knobs takes cores: so many of them are made for the knobs, the hundred sold are for `cores`."""
    campaign = knobs_and_cores(cavities, taken)
    assert several(campaign)
    assert campaigns(campaign) == ["knobs", "cores"]
    runs = run_demands(campaign)
    [knobs] = [run for run in runs if run.tool == "grip"]
    into = knobs.shots * cavities * taken
    made_for = MadeFor(campaign, runs)
    assert made_for.run("grip", ("cream",)) == {"knobs": 1.0}
    shares = {"knobs": into / (into + 100), "cores": 100 / (into + 100)}
    assert dict(made_for.item(("core", ("ink",)))) == pytest.approx(shares)
    assert dict(made_for.run("core", ("ink",))) == pytest.approx(shares)


def test_what_nobody_ordered_is_for_all_as_their_orders_weigh() -> None:
    """300 knobs of 15 g and 100 cores of 12 g."""
    campaign = knobs_and_cores(1, 1)
    made_for = MadeFor(campaign, run_demands(campaign))
    whole = 300 * 15 + 100 * 12
    assert dict(made_for.all) == pytest.approx({"knobs": 300 * 15 / whole, "cores": 100 * 12 / whole})
    assert made_for.item(("core", ("cream",))) == made_for.all
