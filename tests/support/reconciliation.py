"""An order book against the plan made for it, reconciled by sums of its own: rules A7, A8, A10 and A11.

Shares no code with the planner or its auditor; chances are scipy's. See planner/RULES.md for what is counted.
"""

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from functools import cache
from math import ceil

import numpy as np
from scipy.stats import beta, binom

from planner.campaign import Campaign
from planner.campaign.common_case import uncertainty_of
from planner.campaign.orders import OrderLine
from planner.campaign.uncertainty import ThreePoint
from planner.plan import RunPlan
from planner.plan.document import Material, Run

Item = tuple[str, tuple[str, ...]]


def differences(campaign: Campaign, plan: RunPlan) -> list[str]:
    """Everything that does not add up, each with its rule; empty: all reconciles."""
    rules = (orders_and_parcels, enough, flow, kilograms)
    return [told for rule in rules for told in rule(campaign, plan)]


def orders_and_parcels(campaign: Campaign, plan: RunPlan) -> Iterator[str]:
    """A10: each order in exactly one parcel, with its own contents, in one batch and one dispatch."""
    packed: dict[tuple[int, int], Counter[str]] = defaultdict(Counter)
    for batch in plan.batches:
        for one in batch.lines:
            line = campaign.orders[one.line]
            if batch.tier != line.tier:
                yield f"A10: batch {batch.id} is of tier {batch.tier}, order line {one.line} of {line.tier}"
            cartons = campaign.tiers[line.tier].cartons
            if cartons and [n for k, n in batch.pieces.items() if k in cartons] != [1]:
                yield f"A10: batch {batch.id} packs {batch.pieces}, not one of the cartons {cartons} a parcel"
            inside = packed[one.line, batch.part]
            inside["parcels"] += one.count
            for product, colourways in batch.contents.items():
                for colourway, n in colourways.items():
                    inside[f"{product} {colourway}"] += n * one.count
            for piece, n in batch.pieces.items():
                inside[piece] += n * one.count if piece not in cartons else 0
        if sum(one.count for one in batch.lines) != batch.parcels:
            yield f"A10: batch {batch.id} says {batch.parcels} parcels, its lines {batch.lines}"
    for number, line in enumerate(campaign.orders):
        units = _units(line)
        split = campaign.tiers[line.tier].split
        parts = 1 if split is None or split.ship == "whole" else min(split.parcels, len(units))
        asked = Counter({f"{p} {c}": n * line.count for (p, c), n in units.items()})
        for piece, n in (Counter(campaign.tiers[line.tier].pieces) + Counter(line.extra_pieces)).items():
            asked[piece] += n * line.count
        asked["parcels"] = line.count * parts
        found = sum((packed.pop((number, part), Counter()) for part in range(1, parts + 1)), Counter[str]())
        if found != asked:
            yield f"A10: order line {number} asks for {dict(asked)}, its parcels hold {dict(found)}"
    if packed:
        yield f"A10: parcels of orders nobody placed: {sorted(packed)}"
    sent = Counter(name for dispatch in plan.dispatches for name in dispatch.batches)
    if sent != Counter(batch.id for batch in plan.batches):
        yield "A10: batches sent are not the batches packed"
    parcels = {batch.id: batch.parcels for batch in plan.batches}
    ends = {batch.id: batch.end for batch in plan.batches}
    for dispatch in plan.dispatches:
        if dispatch.parcels != sum(parcels[name] for name in dispatch.batches):
            yield f"A10: dispatch {dispatch.id} does not count its batches' parcels"
        if any(ends[name] > dispatch.at for name in dispatch.batches):
            yield f"A10: dispatch {dispatch.id} leaves before it is packed"


def enough(campaign: Campaign, plan: RunPlan) -> Iterator[str]:
    """A7: of every item P(good >= needed) >= confidence by scipy's binomial; no demand has a shot too many."""
    needed, shots = _needed(campaign), _shots(campaign, plan)
    by_demand: dict[tuple[str, tuple[str, ...]], list[Item]] = defaultdict(list)
    for item, quantity in needed.items():
        if quantity > 0:
            by_demand[_tool(campaign, item[0]), item[1]].append(item)
    if set(by_demand) != set(shots):
        yield f"A7: runs {sorted(shots)} are not those the orders ask for {sorted(by_demand)}"
        return

    if {demand: len(ends) for demand, ends in _shot_ends(campaign, plan).items()} != shots:
        yield "A7: the stretches worked do not hold the shots of their runs"

    for demand, items in by_demand.items():
        number = shots[demand]
        for item in items:
            if _chance(campaign, item, needed[item], number) < campaign.confidence - 2e-5:
                yield f"A7: {number} shots give {item} with chance {_chance(campaign, item, needed[item], number)}"
        if all(_chance(campaign, item, needed[item], number - 1) >= campaign.confidence + 2e-5 for item in items):
            yield f"A7: {number} shots for {demand} are more than are needed"


def flow(campaign: Campaign, plan: RunPlan) -> Iterator[str]:
    """A8: whenever an assembly job starts, parts taken so far are moulded and rested or were in stock."""
    needed, made = _needed(campaign), _shot_ends(campaign, plan)
    # Parts are counted on at the pace that the item alone would need; a family tool makes more shots than that.
    alone = {item: _shots_alone(campaign, item, quantity) for item, quantity in needed.items()}
    taken: Counter[Item] = Counter()
    for job in sorted(plan.assembly, key=lambda job: job.start):
        product = campaign.products[job.product]
        for part, number in product.parts.items():
            item = part, tuple(product.colourways[job.colourway][part])
            taken[item] += number * job.units
            ends = made.get((_tool(campaign, part), item[1]), [])
            rested = job.start.astimezone(UTC) - timedelta(hours=campaign.parts[part].rest_hours)
            good = bisect_right(ends, rested) * needed[item] // alone[item] if ends else 0
            if taken[item] > good + _stock(campaign, item):
                yield f"A8: {job.id} at {job.start} takes {taken[item]} of {item}, {good} are there besides stock"
    used = Counter[str]()
    for job in plan.assembly:
        for piece, number in campaign.products[job.product].pieces.items():
            used[piece] += number * job.units
    for batch in plan.batches:
        for piece, number in batch.pieces.items():
            used[piece] += number * batch.parcels
    for need in plan.pieces:
        if need.used != used.get(need.id, 0) or need.used > need.stock + need.arriving + need.bought:
            yield f"A8: {need.id}: used {used.get(need.id, 0)}, the plan says {need}"


def kilograms(campaign: Campaign, plan: RunPlan) -> Iterator[str]:
    """A11: used = moulded + start-up + purge - regrind, each summed anew from the runs; bought + stock >= used."""
    sums: dict[tuple[str, str], dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for run in plan.runs:
        for barrel, melt in enumerate(run.melts):
            grams = _shot_grams(campaign, run, barrel)
            change = run.changeover
            scrapped = sum(s.restart_shots for s in run.stretches) + (change.startup_shots if change else 0)
            purged = sum(p.kg for p in change.purges if p.barrel == barrel + 1) if change else 0
            for material, share in _made_of(campaign, melt):
                sums[material]["moulded"] += share * run.shots * grams / 1000
                sums[material]["startup"] += share * scrapped * grams / 1000
                sums[material]["purge"] += share * purged
    listed: dict[tuple[str, str], Material] = {(m.kind, m.id): m for m in plan.materials}
    for material, kg in sums.items():
        entry = listed.get(material)
        if entry is None:
            yield f"A11: {material} is used but not listed"
            continue
        pairs = ((entry.moulded_kg, kg["moulded"]), (entry.startup_kg, kg["startup"]), (entry.purge_kg, kg["purge"]))
        if any(abs(a - b) > 1e-6 * max(1, b) for a, b in pairs):
            yield f"A11: {material}: the runs add up to {dict(kg)}, the plan says {entry}"
    for m in plan.materials:
        if abs(m.moulded_kg + m.startup_kg + m.purge_kg - m.regrind_kg - m.used_kg) > 1e-6 * max(1, m.used_kg):
            yield f"A11: {m.id} does not add up"
        if m.used_kg > m.stock_kg + m.arriving_kg + m.bought_kg + 1e-6:
            yield f"A11: {m.id}: more is used than there is"


def _units(line: OrderLine) -> Counter[tuple[str, str]]:
    return Counter((p, c) for source in (line.units, line.extra_units) for p, cs in source.items() for c in cs)


def _tool(campaign: Campaign, part: str) -> str:
    return next(name for name, tool in campaign.tools.items() if part in tool.cavities)


def _stock(campaign: Campaign, item: Item) -> int:
    return sum(s.count for s in campaign.parts[item[0]].stock if tuple(s.colours) == item[1])


def _needed(campaign: Campaign) -> dict[Item, int]:
    """Good parts to mould of each item: orders and spares less stock."""
    ordered: Counter[Item] = Counter()
    for line in campaign.orders:
        for (product, colourway), units in _units(line).items():
            made = campaign.products[product]
            for part, number in made.parts.items():
                ordered[part, tuple(made.colourways[colourway][part])] += number * units * line.count
    spares = {item: ceil(round(n * campaign.parts[item[0]].spare_share, 9)) for item, n in ordered.items()}
    for made in campaign.products.values():
        for colourway, units in made.spare_units.items():
            for part, number in made.parts.items():
                item = part, tuple(made.colourways[colourway][part])
                ordered[item] += 0
                spares[item] = spares.get(item, 0) + number * units
    return {item: max(0, n + spares[item] - _stock(campaign, item)) for item, n in ordered.items()}


def _chance(campaign: Campaign, item: Item, quantity: int, shots: int) -> float:
    tool = campaign.tools[_tool(campaign, item[0])]
    cavities = tool.cavities[item[0]] - tool.blocked_cavities.get(item[0], 0)
    tested = campaign.parts[item[0]].test_pieces if quantity else 0
    scrap = _scrap_shares(campaign, _tool(campaign, item[0]))
    return float(binom.sf(quantity + tested - 1, shots * cavities, 1 - scrap).mean())


def _scrap_shares(campaign: Campaign, tool: str) -> np.ndarray:
    """Four thousand scrap shares, each as likely as the next: quantiles of scipy's beta on the three points' range."""
    said = uncertainty_of(campaign)[0].tools.get(tool)
    law = said.scrap_share if said and campaign.scrap_taken == "unsure" else None
    if not isinstance(law, ThreePoint) or law.early == law.late:
        return np.array([campaign.tools[tool].scrap_share])
    assert law.shape == "beta-pert"
    return _quantiles(law.early, law.likely, law.late)


@cache
def _quantiles(early: float, likely: float, late: float) -> np.ndarray:
    mode = (likely - early) / (late - early)
    even = (np.arange(4000) + 0.5) / 4000
    return np.asarray(beta.ppf(even, 1 + 4 * mode, 5 - 4 * mode, early, late - early))


def _shots_alone(campaign: Campaign, item: Item, quantity: int) -> int:
    """The fewest shots that give enough of one item, by halving."""
    low, high = 0, 1
    while _chance(campaign, item, quantity, high) < campaign.confidence:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        enough_there = _chance(campaign, item, quantity, middle) >= campaign.confidence
        low, high = (low, middle) if enough_there else (middle, high)
    return high


def _colours(run: Run) -> tuple[str, ...]:
    return tuple(melt.split("/")[1] for melt in run.melts)


def _shots(campaign: Campaign, plan: RunPlan) -> Counter[tuple[str, tuple[str, ...]]]:
    shots: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for run in plan.runs:
        shots[run.tool, _colours(run)] += run.shots
    return shots


def _shot_ends(campaign: Campaign, plan: RunPlan) -> dict[tuple[str, tuple[str, ...]], list[datetime]]:
    """When each shot of a demand is done, over all its runs, in order of time."""
    ends: dict[tuple[str, tuple[str, ...]], list[datetime]] = defaultdict(list)
    for run in plan.runs:
        # exact: a shot that ends on the second counts from that second
        cycle, efficiency = campaign.tools[run.tool].cycle_s, campaign.presses[run.press].efficiency
        seconds = Fraction(str(cycle)) / Fraction(str(efficiency))
        times: list[datetime] = []
        worked = 0
        for stretch in run.stretches:
            begins = stretch.start.astimezone(UTC) + timedelta(seconds=stretch.restart_seconds)
            here = int((stretch.end.astimezone(UTC) - begins).total_seconds())
            while len(times) < run.shots and (len(times) + 1) * seconds <= worked + here:
                times.append(begins + timedelta(seconds=ceil((len(times) + 1) * seconds - worked)))
            worked += here
        ends[run.tool, _colours(run)] += times
    return {demand: sorted(times) for demand, times in ends.items()}


def _shot_grams(campaign: Campaign, run: Run, barrel: int) -> float:
    tool = campaign.tools[run.tool]
    runner = tool.runner_g[barrel] if barrel < len(tool.runner_g) else 0
    parts = (
        (n - tool.blocked_cavities.get(part, 0)) * campaign.parts[part].barrels[barrel].mass_g
        for part, n in tool.cavities.items()
    )
    return runner + sum(parts)


def _made_of(campaign: Campaign, melt: str) -> list[tuple[tuple[str, str], float]]:
    resin, colour = melt.split("/")
    share = campaign.colours[colour].let_down_percent / 100
    if campaign.resins[resin].natural_colour == colour or not share:
        return [(("resin", resin), 1.0)]
    return [(("resin", resin), 1 - share), (("masterbatch", colour), share)]
