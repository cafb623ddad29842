"""Work between press and assembly: who does it, in which order, and colours that it gives."""

from collections import Counter, defaultdict
from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.finishing import scrap_from
from planner.campaign.pointers import pointer
from planner.campaign.products import Part
from planner.campaign.whereabouts import not_here
from planner.demand.items import Item, in_hand, parts_of_unit
from planner.errors import Problem
from planner.reading.checks.hours import OpenHours, in_words
from planner.reading.checks.needs import Needs

MOST_SPOILT = 0.95


def check(campaign: Campaign) -> list[Problem]:
    """Places that cannot be, steps that no place does, and colours that are not said or that nothing gives."""
    return [
        *_places(campaign),
        *(problem for name, part in campaign.parts.items() for problem in _steps(campaign, name, part)),
        *(problem for name, part in campaign.parts.items() for problem in _stock(campaign, name, part)),
        *_colours(campaign),
    ]


def check_hours(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Benches that never open, or not long enough for what is to be done there."""
    minutes: defaultdict[str, float] = defaultdict(float)
    items: Counter[Item] = Counter()
    for (product, colourway), units in needs.units.items():
        for item, each in parts_of_unit(campaign, product, colourway).items():
            items[item] += each * units
        for sub in campaign.products[product].sub_assemblies.values():
            minutes[sub.at] += sub.minutes * max(0, units - sub.in_hand.get(colourway, 0))
    for item, number in items.items():
        for step in campaign.parts[item[0]].finishing:
            minutes[step.at] += step.minutes * max(0, number - in_hand(campaign, item)[0])
    problems = []
    for name, bench in campaign.finishing_benches.items():
        hours, work = OpenHours(campaign, bench, bench.people), 60 * minutes[name]
        if not work:
            continue
        if not hours.longest():
            problems.append(
                Problem(
                    pointer("finishing_benches", name, "hours"),
                    f"bench `{name}` never opens",
                    'give it hours and people, e.g. {"mon-fri": "08:00-16:00 x2"}; mind `closed_days` and `on_dates`',
                )
            )
        elif not hours.enough(work):
            problems.append(
                Problem(
                    pointer("finishing_benches", name),
                    f"bench `{name}` has {in_words(work)} of one person's work; "
                    f"it is open for {in_words(hours.seconds())} in the next ten years",
                    "check the minutes and order counts, or give the bench more people or hours",
                )
            )
    return problems


def _places(campaign: Campaign) -> Iterator[Problem]:
    for name in campaign.finishing_benches:
        if name in campaign.finishing_firms:
            yield Problem(
                pointer("finishing_firms", name),
                f"`{name}` is a bench of our own and another firm too",
                "give one of them another name",
            )
    for name, firm in campaign.finishing_firms.items():
        for field, days, what in (
            ("leaves", firm.leaves, "no lot ever leaves for"),
            ("works", firm.works, "no day's work is done at"),
        ):
            if not days and (field == "leaves" or firm.lead_days):
                yield Problem(
                    pointer("finishing_firms", name, field), f"{what} `{name}`", f"name weekdays under `{field}`"
                )


def _steps(campaign: Campaign, name: str, part: Part) -> Iterator[Problem]:
    here, benches, order = ("parts", name, "finishing"), list(campaign.finishing_benches), -1
    travelled = False
    for n, step in enumerate(part.finishing):
        if step.at in campaign.finishing_firms:
            if step.minutes:
                yield Problem(
                    pointer(*here, n, "minutes"),
                    f"{step.what} of part `{name}` is done by `{step.at}`, whose minutes are its own",
                    "leave `minutes` out; say `price`, and the firm's `lead_days`",
                )
            if step.lot_parts is not None and travelled:
                yield Problem(
                    pointer(*here, n, "lot_parts"),
                    f"lots of part `{name}` are said twice; they stay together from the first firm on",
                    "say `lot_parts` at the first firm it goes to alone",
                )
            if order >= 0:
                yield Problem(
                    pointer(*here, n, "at"),
                    f"part `{name}` goes to `{step.at}` after a bench of our own, which is not planned",
                    "list what firms do before what benches do; count work before a firm into the tool's cycle, or "
                    "give it to a firm too",
                )
            travelled = True
        elif step.at in campaign.finishing_benches:
            if step.lot_parts is not None:
                yield Problem(
                    pointer(*here, n, "lot_parts"),
                    f"{step.what} of part `{name}` is done on bench `{step.at}`, where nothing travels",
                    "leave `lot_parts` out, or name one of `finishing_firms`",
                )
            place = benches.index(step.at)
            if place <= order and part.finishing[n - 1].at != step.at:
                yield Problem(
                    pointer(*here, n, "at"),
                    f"part `{name}` goes to bench `{step.at}` after bench `{benches[order]}`, which is listed later",
                    "list `finishing_benches` in the order in which parts go through them; a bench that they come back "
                    "to gets a second name",
                )
            order = max(order, place)
        else:
            known = [*campaign.finishing_benches, *campaign.finishing_firms]
            yield Problem(
                pointer(*here, n, "at"),
                f"{step.what} of part `{name}` is done at `{step.at}`, which is no bench and no firm of the campaign",
                f"use one of {', '.join(f'`{one}`' for one in known[:8])}"
                if known
                else "add it to `finishing_benches` (our own people) or to `finishing_firms`",
            )
    if scrap_from(part.finishing) > MOST_SPOILT:
        yield Problem(
            pointer(*here),
            f"the steps of part `{name}` spoil {float(scrap_from(part.finishing)):.1%} of it",
            f"at most {MOST_SPOILT:.0%} can be planned with; check `scrap_share`",
        )
    painted = [n for n, step in enumerate(part.finishing) if step.gives_colour]
    if len(painted) > 1:
        yield Problem(
            pointer(*here, painted[1], "gives_colour"),
            f"two steps give part `{name}` its colour",
            "say it of the one whose colour is seen",
        )


def _stock(campaign: Campaign, name: str, part: Part) -> Iterator[Problem]:
    assembled: Counter[tuple[str, ...]] = Counter()
    for product in campaign.products.values():
        for colourway, units in product.assembled.items():
            colours = product.colourways.get(colourway, {}).get(name, [])
            assembled[tuple(colours)] += units * product.parts.get(name, 0)
    for n, stock in enumerate(part.stock):
        if not stock.finished and not not_here(campaign, name):
            yield Problem(
                pointer("parts", name, "stock", n, "finished"),
                f"stock of part `{name}` is not finished, but nothing is said to be done to it",
                "leave `finished` out, or list the steps under `finishing`",
            )
        painted = any(step.gives_colour for step in part.finishing)
        if painted and stock.finished and stock.count > assembled[tuple(stock.colours)]:
            yield Problem(
                pointer("parts", name, "stock", n, "finished"),
                f"stock of part `{name}` is finished beyond what is in units in hand; nothing says in which colour",
                "say `finished: false` of what is moulded; take what has its colour out of the orders, or give it a "
                "part of its own",
            )


def _colours(campaign: Campaign) -> Iterator[Problem]:
    gives = {name for name, part in campaign.parts.items() if any(step.gives_colour for step in part.finishing)}
    for name, product in campaign.products.items():
        for colourway, given in product.finished_in.items():
            here = ("products", name, "finished_in", colourway)
            if colourway not in product.colourways:
                yield Problem(
                    pointer(*here),
                    f"`{name}` doesn't come in colourway `{colourway}`",
                    f"use one of {', '.join(f'`{one}`' for one in sorted(product.colourways)[:12])}",
                )
            for part in given:
                if part not in product.parts or part not in gives:
                    yield Problem(
                        pointer(*here, part),
                        f"part `{part}` of `{name}` gets no colour from its finishing",
                        "say `gives_colour` of one of its steps, or leave this out",
                    )
        for colourway in product.colourways:
            for part in product.parts:
                if part in gives and part not in product.finished_in.get(colourway, {}):
                    yield Problem(
                        pointer("products", name, "finished_in"),
                        f"part `{part}` gets its colour from its finishing, and colourway `{colourway}` of `{name}` "
                        "doesn't say which",
                        f'add "{colourway}": {{"{part}": "the colour"}}',
                    )
