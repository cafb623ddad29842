"""A13: what turns out in each scenario, drawn anew from the seed that is stated.

The generator is written out again from its description (splitmix64's finaliser over a key made of the seed and a
thing's name: Steele, Lea, Flood, OOPSLA 2014). From it follows which branch a scenario is in and what its outcomes cost
on top; and no scenario costs less than that, what no order of work changes, and the press hours of its shots at their
fastest.
"""

from fractions import Fraction
from hashlib import sha256

from planner.audit import masses
from planner.audit.case import Case
from planner.audit.figures import MONEY, exact
from planner.audit.findings import Findings
from planner.campaign import Campaign
from planner.campaign.hours import spans
from planner.campaign.uncertainty import FirstTrial, Recipe, Spread, ThreePoint, TurnsOut, Uncertainty
from planner.plan.document import Expected

MASK = (1 << 64) - 1
MOST_FAILURES = 12
SLOWEST, FASTEST = 0.05, 20.0
"""Shares of what is planned are drawn between these."""

FIXED = (
    "moulded material", "bought-in pieces", "finishing labour", "finishing by the piece", "carriage", "postage",
    "extra postage",
)  # fmt: skip
LABOUR = {"assembly": "assembly labour", "packing": "packing labour"}


def uniform(seed: int, name: str, scenario: int) -> float:
    """The number strictly between 0 and 1 that a scenario (from 0) draws for a name."""
    z = int.from_bytes(sha256(f"{seed}/{name}".encode()).digest()[:8], "big")
    z = (z + (scenario + 1) * 0x9E3779B97F4A7C15) & MASK
    z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & MASK
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & MASK
    z ^= z >> 31
    return ((z >> 11) + 0.5) / 2.0**53


def check(case: Case, said: Expected, notes: Findings) -> None:
    """Every scenario's branch, and the least it can cost."""
    unsure = case.campaign.uncertainty
    if unsure is None:
        return
    told = said.branches
    if told is not None:
        ours = [_turned(case.campaign, told.thing, said.seed, k) for k in range(len(told.turned))]
        wrong = sum(one != other for one, other in zip(ours, told.turned, strict=True))
        notes.expect(not wrong, f"in {wrong} scenarios {told.about} turns out otherwise by the seed that is stated")
    fixed, on_top = _least(case), OnTop(case, said.seed)
    below = [
        (k, cost, least)
        for k, cost in enumerate(said.costs)
        if cost is not None and cost < (least := fixed + on_top.of(k)) - MONEY
    ]
    for k, cost, least in below[:1]:
        notes.fault(f"scenario {k + 1} is said to cost {cost:.2f}; what nobody can save of it comes to {least:.2f}")


def _turned(campaign: Campaign, thing: str, seed: int, k: int) -> int:
    """Number of how a thing turns out."""
    assert campaign.uncertainty is not None
    kind, _, name = thing.partition("/")
    if kind == "settled" and name in campaign.uncertainty.settled:
        return outcome_of(list(campaign.uncertainty.settled[name].outcomes.values()), seed, thing, k)
    tool = name.removesuffix("/trial")
    said = campaign.uncertainty.tools.get(tool)
    if said is None or said.first_trial is None:
        return -1
    return min(1, failures(said.first_trial, tool, seed, k))


def outcome_of(outcomes: list[TurnsOut], seed: int, thing: str, k: int) -> int:
    whole = sum(one.chance for one in outcomes)
    drawn, reached = uniform(seed, thing, k), 0.0
    for n, one in enumerate(outcomes[:-1]):
        reached += one.chance
        if drawn < reached / whole:
            return n
    return len(outcomes) - 1


def failures(trial: FirstTrial, tool: str, seed: int, k: int) -> int:
    """Trials that fail until one is good, or until no more can."""
    for attempt in range(1, (trial.most_failures or MOST_FAILURES) + 1):
        if uniform(seed, f"tool/{tool}/trial {attempt}", k) <= trial.success_chance:
            return attempt - 1
    return trial.most_failures or MOST_FAILURES


class OnTop:
    """Money that scenarios cost by how things turn out in them, whatever is done. What each way to turn out costs is
    the same in all of them."""

    def __init__(self, case: Case, seed: int) -> None:
        unsure = case.campaign.uncertainty or Uncertainty()
        self._seed = seed
        self._trials = [
            (tool, said.first_trial, trial_takes(case.campaign, said.first_trial))
            for tool, said in unsure.tools.items()
            if said.first_trial is not None and said.first_trial.success_chance < 1
        ]
        self._settled = [
            (name, outcomes, [turned.cost + dearer(case, turned.recipes) for turned in outcomes])
            for name, outcomes in ((name, list(one.outcomes.values())) for name, one in unsure.settled.items())
        ]

    def of(self, k: int) -> float:
        """In a scenario (from 0)."""
        trials = (takes * failures(trial, tool, self._seed, k) for tool, trial, takes in self._trials)
        turned = (costs[outcome_of(these, self._seed, f"settled/{name}", k)] for name, these, costs in self._settled)
        return sum(trials, 0.0) + sum(turned, 0.0)


def trial_takes(campaign: Campaign, trial: FirstTrial) -> float:
    """Money for one trial more: what is said of it, press hours, a setter's, and melt that is thrown away."""
    floor = campaign.floor
    money = exact(trial.cost) + exact(trial.setter_hours) * exact(floor.setter_rate_per_hour)
    if trial.press in campaign.presses and trial.hours is not None:
        press = campaign.presses[trial.press]
        minutes = sum(span.end - span.start for span in spans(trial.hours))
        rate = exact(press.rate_per_hour) + exact(press.draws_kw) * exact(floor.price_per_kwh)
        money += Fraction(minutes, 60) * rate
    for melt, kg in zip(trial.melts, trial.kg, strict=False):
        resin, _, colour = melt.rpartition("/")
        money += exact(kg) * (exact(masses.price_of(campaign, (resin, colour))) + exact(floor.disposal_per_kg))
    return float(money)


def dearer(case: Case, recipes: dict[str, Recipe]) -> float:
    """What the melt of all shots costs more with other recipes."""
    if not recipes:
        return 0.0
    then = recoloured(case.campaign, recipes)
    return sum(
        kg * (masses.price_of(then, melt) - masses.price_of(case.campaign, melt))
        for work in case.works
        for melt, kg in zip(work.melts, masses.moulded_kg(work), strict=True)
    )


def recoloured(campaign: Campaign, recipes: dict[str, Recipe]) -> Campaign:
    """The campaign in which colours have other recipes; what is in hand of them and comes stays their own."""
    colours = dict(campaign.colours)
    for name, recipe in recipes.items():
        if name not in colours:
            continue
        said: dict[str, object] = {}
        if recipe.colour is not None and recipe.colour in campaign.colours:
            other = campaign.colours[recipe.colour]
            said = {
                "let_down_percent": other.let_down_percent, "price_per_kg": other.price_per_kg, "hex": other.hex,
                "lab": other.lab, "reflectance": other.reflectance, "finish": other.finish, "strength": other.strength,
                "same_as": recipe.colour,
            }  # fmt: skip
        if recipe.let_down_percent is not None:
            said["let_down_percent"] = recipe.let_down_percent
        if recipe.price_per_kg is not None:
            said["price_per_kg"] = recipe.price_per_kg
        if recipe.hex is not None:
            said |= {"hex": recipe.hex, "lab": None, "reflectance": None}
        colours[name] = colours[name].model_copy(update=said)
    return campaign.model_copy(update={"colours": colours})


def recipes_in(campaign: Campaign, seed: int, k: int) -> dict[str, Recipe]:
    """The recipes that take the place of colours in a scenario."""
    found: dict[str, Recipe] = {}
    unsure = campaign.uncertainty
    for name, one in (unsure.settled if unsure is not None else {}).items():
        outcomes = list(one.outcomes.values())
        found |= outcomes[outcome_of(outcomes, seed, f"settled/{name}", k)].recipes
    return found


def _least(case: Case) -> float:
    """What no order of work changes, and the hours of all shots on the cheapest press at their fastest."""
    unsure = case.campaign.uncertainty
    assert unsure is not None
    fixed = [*FIXED, *(line for bench, line in LABOUR.items() if bench not in unsure.bench_share)]
    money = sum(line.amount for line in case.plan.costs if line.what in fixed)
    for work in case.works:
        own = unsure.tools.get(work.run.tool)
        cycle = _least_of(own.cycle_share) if own is not None and own.cycle_share is not None else 1.0
        seconds = float(work.run.shots * exact(work.tool.cycle_s)) * cycle
        rates = []
        for name, press in case.campaign.presses.items():
            if work.tool.presses and name not in work.tool.presses:
                continue
            spread = unsure.efficiency_share.get(name)
            rates.append(press.rate_per_hour / (press.efficiency * (1.0 if spread is None else _most_of(spread))))
        money += seconds / 3600 * min(rates, default=0.0)
    return money


def _least_of(spread: Spread) -> float:
    return max(SLOWEST, spread.early) if isinstance(spread, ThreePoint) else SLOWEST


def _most_of(spread: Spread) -> float:
    return min(FASTEST, spread.late) if isinstance(spread, ThreePoint) else FASTEST
