"""The random campaigns: the same for a seed, sound, of the size they claim, and not all alike."""

from collections import Counter
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from benchmarks.generator import sized, small, tiny
from planner.campaign import Campaign
from planner.demand.items import run_demands
from planner.demand.parcels import pack_batches
from planner.reading.checks import check


def features(campaign: Campaign) -> set[str]:
    """What makes planning it hard."""
    presses, tools, parts = campaign.presses.values(), campaign.tools.values(), campaign.parts.values()
    zone = ZoneInfo(campaign.time_zone)
    first = campaign.start.replace(tzinfo=zone)
    signs = {
        "two barrels": any(len(p.barrels) == 2 for p in parts),
        "family tool": any(len(t.cavities) > 1 for t in tools),
        "blocked cavities": any(t.blocked_cavities for t in tools),
        "part stock": any(p.stock for p in parts),
        "rest": any(p.rest_hours for p in parts),
        "arrivals": any(r.arrivals for r in campaign.resins.values()),
        "resin to buy": any(r.lead_days is not None for r in campaign.resins.values()),
        "masterbatch to buy": any(c.stock_kg == 0 and c.lead_days for c in campaign.colours.values()),
        "hot runner": any(t.hot_runner_kg for t in tools),
        "lots": any(t.smallest_lot_shots for t in tools),
        "clock change": first.utcoffset() != (first + timedelta(days=6)).utcoffset(),
        "overnight": any("22:00-06:00" in text for p in presses for text in p.hours.values()),
        "round the clock": any("00:00-24:00" in text for p in presses for text in p.hours.values()),
        "short stretches": any("07:00-10:00" in text for p in presses for text in p.hours.values()),
        "closed days": bool(campaign.closed_days),
        "two setters": campaign.floor.setters == 2,
        "pinned run": any(p.begins_with for p in presses),
        "mounted tool": any(p.tool for p in presses),
        "first content": any(b.holds for p in presses for b in p.barrels),
        "given purge": bool(campaign.purging.given),
        "forbidden pair": bool(campaign.forbidden_pairs),
        "add-on units": any(o.extra_units for o in campaign.orders),
        "add-on pieces": any(o.extra_pieces for o in campaign.orders),
        "regions": bool(campaign.regions),
        "several presses": len(campaign.presses) > 1,
    }
    return {sign for sign, there in signs.items() if there}


def test_small_campaigns_are_sound_and_varied():
    """Over 120 seeds every feature comes at least four times, and none of them always."""
    seen: Counter[str] = Counter()
    for seed in range(120):
        campaign = small(seed)
        assert check(campaign) == []
        assert 2 <= len(run_demands(campaign)) <= 8
        seen.update(features(campaign))
    assert {f: n for f, n in seen.items() if not 4 <= n <= 119} == {}
    assert len(seen) == 25


@pytest.mark.parametrize("seed", range(30))
def test_tiny_campaigns_can_be_tried_in_every_order(seed):
    """At most six runs, two presses, four batches, no lots."""
    campaign = tiny(seed)
    assert check(campaign) == []
    assert 1 <= len(run_demands(campaign)) <= 6
    assert len(campaign.presses) <= 2
    assert len(pack_batches(campaign)) <= 4
    assert all(tool.smallest_lot_shots is None for tool in campaign.tools.values())


@pytest.mark.parametrize(
    ("size", "runs", "presses", "groups"), [("XS", 10, 2, 20), ("S", 25, 3, 60), ("M", 70, 5, 200)]
)
def test_sized_campaigns_have_their_size(size, runs, presses, groups):
    """Run demands, presses and pack groups exactly as stated, for several seeds."""
    for seed in range(3):
        campaign = sized(size, seed)
        assert len(run_demands(campaign)) == runs
        assert len(campaign.presses) == presses
        assert len(pack_batches(campaign)) == groups


@pytest.mark.parametrize(("size", "runs"), [("L", 200), ("XL", 500)])
def test_large_campaigns_have_their_size(size, runs):
    """One seed each of the large ones."""
    assert len(run_demands(sized(size, 1))) == runs


def test_a_seed_is_a_campaign():
    """The same seed gives the same document, drawn again; another seed another one."""
    once = small(7), tiny(7)
    small.cache_clear()
    tiny.cache_clear()
    assert (small(7), tiny(7)) == once
    assert small(7) is not once[0]
    assert small(7) != small(8)
