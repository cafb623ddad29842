"""Several campaigns on one floor: whose orders are whose, and for whom parts are made (RULES.md, K)."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping

from planner.campaign import Campaign
from planner.demand.at_the_shot import parts_in_a_shot
from planner.demand.items import Item, RunDemand, parts_of_unit, units_of

Shares = Mapping[str, float]
"""Campaign -> its share; together 1."""

Demand = tuple[str, tuple[str, ...]]
"""Tool and colours of a run."""


def campaign_of(campaign: Campaign, tier: str) -> str:
    """Whose orders those of a tier are."""
    return campaign.tiers[tier].campaign or campaign.name


def campaigns(campaign: Campaign) -> list[str]:
    """The campaigns that anybody ordered of, as their tiers are listed."""
    ordered = {line.tier for line in campaign.orders}
    return list(dict.fromkeys(campaign_of(campaign, tier) for tier in campaign.tiers if tier in ordered))


def several(campaign: Campaign) -> bool:
    """Whether more than one campaign shares the floor."""
    return any(tier.campaign for tier in campaign.tiers.values()) and len(campaigns(campaign)) > 1


def in_proportion(weights: Mapping[str, float]) -> Shares:
    """Shares as the weights are, all of them more than 0 together."""
    total = sum(weights.values())
    return {name: weight / total for name, weight in weights.items() if weight}


def mixed(parts: Iterable[tuple[float, Shares]]) -> Shares:
    """The shares of what has parts: (what it weighs, its shares). None where nothing weighs anything."""
    found: dict[str, float] = defaultdict(float)
    for weight, shares in parts:
        for name, share in shares.items():
            found[name] += weight * share
    return in_proportion(found) if sum(found.values()) > 0 else {}


class MadeFor:
    """For whom runs and moulded items are made: as the ordered parts weigh, those that go into moulds with what they go
    into. What is made of parts that nobody ordered is for all, as everything that is ordered weighs."""

    def __init__(self, campaign: Campaign, runs: Iterable[RunDemand]) -> None:
        self._campaign = campaign
        self._runs = {(run.tool, run.colours): run for run in runs}
        self._ordered: dict[Item, Counter[str]] = defaultdict(Counter)
        for line in campaign.orders:
            whose = campaign_of(campaign, line.tier)
            for (product, colourway), units in units_of(line).items():
                for item, each in parts_of_unit(campaign, product, colourway).items():
                    self._ordered[item][whose] += units * each * line.count
        everything: dict[str, float] = defaultdict(float)
        for (part, _), whose_parts in self._ordered.items():
            for name, number in whose_parts.items():
                everything[name] += number * self._grams(part)
        self.all: Shares = in_proportion(everything) if everything else dict.fromkeys(campaigns(campaign)[:1], 1.0)
        self._known: dict[Demand, Shares] = {}

    def run(self, tool: str, colours: tuple[str, ...]) -> Shares:
        """For whom a run is."""
        key = tool, colours
        if key not in self._known:
            parts = [(self._grams(one.part), self._weights(one.item)) for one in self._runs[key].items]
            self._known[key] = mixed(parts) or self.all
        return self._known[key]

    def item(self, item: Item) -> Shares:
        """For whom an item is."""
        return mixed([(1.0, self._weights(item))]) or self.all

    def _weights(self, item: Item) -> Mapping[str, float]:
        """Campaign -> parts of the item ordered for it, and that go into moulds for it."""
        found: dict[str, float] = {name: float(number) for name, number in self._ordered.get(item, Counter()).items()}
        for (tool, colours), run in self._runs.items():
            into = parts_in_a_shot(self._campaign, tool).get(item, 0) * run.shots
            if into:
                for name, share in self.run(tool, colours).items():
                    found[name] = found.get(name, 0.0) + into * share
        return found

    def _grams(self, part: str) -> float:
        return sum(barrel.mass_g for barrel in self._campaign.parts[part].barrels)
