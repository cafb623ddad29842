"""Whose runs, parcels, material and pieces are, where several campaigns share the floor (RULES.md, K)."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from fractions import Fraction

from planner.audit import masses
from planner.audit.case import Case, Work, parts_at, pieces_at
from planner.audit.figures import exact
from planner.audit.needs import Item, units_of
from planner.audit.worked import worked_seconds
from planner.campaign import Campaign
from planner.plan.document import Dispatch

Owners = Mapping[str, float]
"""Campaign -> share; together 1."""


def owner(campaign: Campaign, tier: str) -> str:
    """The campaign of a tier's orders."""
    named = campaign.tiers[tier].campaign if tier in campaign.tiers else None
    return named or campaign.name


def owners(campaign: Campaign) -> list[str]:
    """Campaigns with any order, as the document lists their tiers."""
    asked = {line.tier for line in campaign.orders}
    return list(dict.fromkeys(owner(campaign, tier) for tier in campaign.tiers if tier in asked))


def blend(parts: Iterable[tuple[float, Owners]]) -> Owners:
    """Shares of a whole, by what its parts weigh; empty where they weigh nothing."""
    weights: dict[str, float] = defaultdict(float)
    for weight, shares in parts:
        for name, share in shares.items():
            weights[name] += weight * share
    whole = sum(weights.values())
    return {name: weight / whole for name, weight in weights.items() if weight} if whole > 0 else {}


class Whose:
    """Shares of whatever a plan is made of."""

    def __init__(self, case: Case) -> None:
        self._case = case
        self._ordered: dict[Item, dict[str, float]] = defaultdict(lambda: defaultdict(float))
        for line in case.campaign.orders:
            for (product, colourway), units in units_of(line).items():
                for item, each in case.items_in(product, colourway).items():
                    self._ordered[item][owner(case.campaign, line.tier)] += line.count * units * each
        self.everybody = blend(
            (self._mass(item) * number, {name: 1.0})
            for item, by in self._ordered.items()
            for name, number in by.items()
        ) or {owners(case.campaign)[0]: 1.0}
        self._batches = {one.id: {owner(case.campaign, one.tier): 1.0} for one in case.plan.batches}
        self._jobs = {job.id: job.batch for job in case.plan.assembly}
        self._into: dict[Item, dict[tuple[str, tuple[str, ...]], int]] = defaultdict(lambda: defaultdict(int))
        self._work_of: dict[tuple[str, tuple[str, ...]], Work] = {}
        for work in case.works:
            demand = work.run.tool, work.colours
            self._work_of[demand] = work
            for item, number in parts_at(case.campaign, work).items():
                self._into[item][demand] += number

    def work(self, work: Work) -> Owners:
        """For whom a run is."""
        return self._case.once(("whose run", work.run.tool, work.colours), lambda: self._of_work(work))

    def item(self, item: Item) -> Owners:
        """For whom an item is made."""
        return blend(self._wanted(item)) or self.everybody

    def batch(self, name: str) -> Owners:
        """Whose a pack batch is."""
        return self._batches.get(name, {})

    def assembly(self, name: str) -> Owners:
        """Whose an assembly job is."""
        return self.batch(self._jobs.get(name, ""))

    def press(self, name: str) -> Owners:
        """Whose the hours of a press are."""
        works = self._case.by_press.get(name, [])
        return blend((float(worked_seconds(self._case, work)), self.work(work)) for work in works)

    def dispatch(self, sent: Dispatch) -> Owners:
        """Whose the parcels of a pick-up are."""
        parcels = {one.id: float(one.parcels) for one in self._case.plan.batches}
        return blend((parcels.get(name, 0.0), self.batch(name)) for name in sent.batches)

    def material(self, material: masses.Material) -> list[tuple[float, Owners]]:
        """Kg that each run takes of a material, and whose they are."""
        found = []
        for work in self._case.works:
            took = masses.at_start(self._case.campaign, work)
            kg = took.get(material, 0.0) + masses.later(self._case.campaign, work).get(material, 0.0)
            if kg:
                found.append((kg, self.work(work)))
        return found

    def pieces(self, name: str) -> list[tuple[float, Owners]]:
        """Bought-in pieces of a kind that are taken, and whose they are."""
        case = self._case
        found: list[tuple[float, Owners]] = []
        for job in case.plan.assembly:
            product = case.campaign.products.get(job.product)
            found.append((float(job.units * (product.pieces.get(name, 0) if product else 0)), self.batch(job.batch)))
        found += [(float(one.parcels * one.pieces.get(name, 0)), self.batch(one.id)) for one in case.plan.batches]
        found += [(float(pieces_at(case.campaign, work).get(name, 0)), self.work(work)) for work in case.works]
        return [(number, shares) for number, shares in found if number]

    def _of_work(self, work: Work) -> Owners:
        parts = []
        for part in work.tool.cavities:
            item = part, work.colours[: len(self._case.campaign.parts[part].barrels)]
            parts += [(number * self._mass(item), shares) for number, shares in self._wanted(item)]
        return blend(parts) or self.everybody

    def _wanted(self, item: Item) -> list[tuple[float, Owners]]:
        """Parts of an item that orders take, and that go into moulds, with whose they are."""
        found: list[tuple[float, Owners]] = [
            (number, {name: 1.0}) for name, number in self._ordered.get(item, {}).items()
        ]
        for demand, number in self._into.get(item, {}).items():
            found.append((float(number), self.work(self._work_of[demand])))
        return found

    def _mass(self, item: Item) -> float:
        barrels = self._case.campaign.parts[item[0]].barrels
        return float(sum((exact(barrel.mass_g) for barrel in barrels), Fraction(0)))
