"""Resins, masterbatches and bought-in pieces that never arrive."""

from collections import defaultdict
from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.heat import used_resins
from planner.campaign.materials import Bought
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks.needs import Needs

ROUNDING = 1e-6


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """What stock and agreed deliveries don't cover and no lead time lets anyone buy. Purge and start-up not counted."""
    kg = _kilograms(campaign, needs)
    problems = _dryers(campaign) + _orders(campaign, needs) + list(_breaks(campaign))
    for piece, count in sorted(needs.pieces.items()):
        terms = campaign.pieces.get(piece)
        if terms is None or terms.lead_days is not None:
            continue
        there = terms.stock + sum(a.amount for a in terms.arrivals) + sum(o.pieces for o in terms.also_from)
        if count > there + ROUNDING:
            problems.append(_never("pieces", piece, count, there, "", "bought-in piece"))
    for (section, name), amount in sorted(kg.items()):
        bought: Bought | None = (campaign.resins if section == "resins" else campaign.colours).get(name)
        if bought is None or bought.lead_days is not None:
            continue
        have = bought.stock_kg + sum(a.amount for a in bought.arrivals)
        if amount > have + ROUNDING:
            what = "resin" if section == "resins" else "masterbatch of colour"
            problems.append(_never(section, name, amount, have, " kg", what))
    return problems


def _orders(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Lots, price breaks and second suppliers of bought-in pieces that make no sense."""
    problems = []
    for name, piece in campaign.pieces.items():
        here, shares = ("pieces", name), sum(lot.share for lot in piece.comes_in)
        if piece.comes_in and abs(shares - 1) > ROUNDING:
            problems.append(
                Problem(
                    pointer(*here, "comes_in"),
                    f"the lots in which `{name}` comes are {shares:.1%} of what is bought",
                    "let their shares add up to 1",
                )
            )
        steps = [step.pieces for step in piece.price_breaks]
        if len(set(steps)) < len(steps):
            problems.append(
                Problem(
                    pointer(*here, "price_breaks"),
                    f"a number of `{name}` has two prices",
                    "say each number of pieces once",
                )
            )
    return problems


def _breaks(campaign: Campaign) -> Iterator[Problem]:
    """Price breaks of what is bought by weight: of what cannot be bought, twice at one weight, or of the compound."""
    weighed: list[tuple[tuple[str, ...], Bought]] = [
        *((("resins", name), one) for name, one in campaign.resins.items()),
        *((("colours", name), one) for name, one in campaign.colours.items()),
    ]
    for here, one in weighed:
        steps = [step.kg for step in one.price_breaks]
        if len(set(steps)) < len(steps):
            yield Problem(
                pointer(*here, "price_breaks"), f"a weight of `{here[1]}` has two prices", "say each weight once"
            )
    compound = campaign.purging.compound
    if compound is not None and compound.price_breaks:
        yield Problem(
            pointer("purging", "compound", "price_breaks"),
            f"price breaks of purging compound `{compound.name}` are not planned with",
            "say the price you expect under `price_per_kg`, and leave `price_breaks` out",
        )


def _dryers(campaign: Campaign) -> list[Problem]:
    """Resins that share a dryer must agree on what it holds."""
    problems = []
    first: dict[str, str] = {}
    used = used_resins(campaign)
    for name, resin in campaign.resins.items():
        if resin.dryer is None or name not in used:
            continue
        other = first.setdefault(resin.dryer, name)
        if resin.dryer_kg != campaign.resins[other].dryer_kg:
            problems.append(
                Problem(
                    pointer("resins", name, "dryer_kg"),
                    f"resins `{other}` and `{name}` share dryer `{resin.dryer}` but say differently how much it holds",
                    "give both the same `dryer_kg`",
                )
            )
    return problems


def _kilograms(campaign: Campaign, needs: Needs) -> dict[tuple[str, str], float]:
    kg: dict[tuple[str, str], float] = defaultdict(float)
    for (tool, colours), shots in needs.runs.items():
        grams = shot_mass_g(campaign, campaign.tools[tool])
        for shot, melt in zip(grams, needs.melts[tool, colours], strict=False):
            resin, colour = melt.rsplit("/", 1)
            natural = resin in campaign.resins and campaign.resins[resin].natural_colour == colour
            coloured = colour in campaign.colours and not natural
            let_down = campaign.colours[colour].let_down_percent / 100 if coloured else 0.0
            kg["resins", resin] += shots * shot / 1000 * (1 - let_down)
            kg["colours", colour] += shots * shot / 1000 * let_down
    return kg


def _never(section: str, name: str, need: float, have: float, unit: str, what: str) -> Problem:
    return Problem(
        pointer(section, name),
        f"{what} `{name}` never arrives in full: at least {need:,.5g}{unit} needed, "
        f"{have:,.5g}{unit} in stock and on the way",
        "give `lead_days` if more can be bought, or add the delivery to `arrivals`",
    )
