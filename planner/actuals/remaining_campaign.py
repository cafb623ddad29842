"""The campaign as it stands now: what is in hand, what is in the presses, what is left to do; begun runs go first."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from math import floor
from typing import Any, TypeVar

from planner.actuals.checks import check
from planner.actuals.entries import (
    Actuals,
    Assembled,
    CameBack,
    Delivered,
    LotResult,
    Ordered,
    PartsFinished,
    Purged,
    ShotsMade,
    StepDone,
    SubAssembled,
    ToolNews,
)
from planner.actuals.packed import PackedOrders, packed_orders, units_back
from planner.actuals.turned import order_now, settled_by
from planner.calendars.clock import Clock
from planner.calendars.moments import first_moment
from planner.calendars.others import press_stretches
from planner.campaign import Campaign
from planner.campaign.base import Arrival
from planner.campaign.fit import shot_mass_g
from planner.campaign.materials import Bought
from planner.campaign.melts import let_down
from planner.campaign.order_of_work import Told
from planner.campaign.orders import OrderLine
from planner.campaign.presses import Barrel, Press, StartedRun
from planner.campaign.products import PartStock, Product, SubAssembly
from planner.campaign.purging import Purging
from planner.campaign.tools import Tool
from planner.campaign.whereabouts import not_here
from planner.demand.at_the_shot import parts_in_a_shot, pieces_in_a_shot
from planner.demand.items import Item, open_cavities, parts_of_unit, run_demands
from planner.errors import CampaignProblems, Problem
from planner.material.trials import Kind, trials_take
from planner.plan.document import RunPlan
from planner.plan.made_by import where_made
from planner.readiness import ready_days
from planner.reading.checks import check as cross_check

NO_STEPS: dict[str, Any] = {"until_ready": {}, "steps_from": None, "steps_as_of": None}
"""What a tool says that has no steps left."""

AnyBought = TypeVar("AnyBought", bound=Bought)


@dataclass(frozen=True)
class Now:
    """The campaign from the moment the floor was looked at, and what was taken for granted on the way, in words."""

    campaign: Campaign
    notes: list[str]


def from_here(campaign: Campaign, plan: RunPlan | None, actuals: Actuals, told: Told | None = None) -> Now:
    """The campaign that is left. plan: whose order of work to begin from. told: what people were told of it.

    Raises CampaignProblems where an entry does not fit the campaign, or what is left contradicts itself.
    """
    in_presses = {one.tool: one.press for one in actuals.entries if isinstance(one, ShotsMade)}
    campaign = where_made(campaign, plan, in_presses)
    problems = check(campaign, actuals)
    if problems:
        raise CampaignProblems(problems)
    notes: list[str] = []
    tried = trials_take(campaign, campaign.start, actuals.as_of)
    as_planned = campaign
    campaign = settled_by(campaign, actuals, notes)
    packed = packed_orders(campaign, actuals)
    left = _orders(campaign, packed) + _to_send_again(actuals)
    if not left:
        raise CampaignProblems([Problem("/entries", "every parcel is packed: there is nothing left to plan")])
    products = _products(campaign, actuals, packed, notes)
    planning: dict[str, Any] = {"told": told}
    if plan is not None:
        planning["begin_from"] = order_now(as_planned, plan, actuals)
    update: dict[str, Any] = {
        "start": actuals.as_of,
        "orders": left,
        "parts": _parts(campaign, actuals, packed, products, notes),
        "pieces": _pieces(campaign, actuals, packed, notes),
        "tools": _tools(campaign, actuals, notes),
        "products": products,
        "planning": campaign.planning.model_copy(update=planning),
        **_materials(campaign, actuals, notes, tried),
        "purging": _purging(campaign, actuals, notes),
    }
    now = campaign.model_copy(update=update | {"presses": _presses(campaign, actuals)})
    now = now.model_copy(update={"presses": _begun(campaign, now, actuals, plan)})
    contradictions = cross_check(now)
    if contradictions:
        raise CampaignProblems(contradictions)
    return Now(now, notes)


def _orders(campaign: Campaign, packed: list[PackedOrders]) -> list[OrderLine]:
    lines = []
    of_line: dict[int, list[PackedOrders]] = defaultdict(list)
    for one in packed:
        if one.settles:
            of_line[one.line].append(one)
    for n, line in enumerate(campaign.orders):
        count = line.count
        for part in of_line[n]:
            count -= part.orders
            if not part.whole:
                lines.append(line.model_copy(update={"count": part.orders, "gone": part.gone}))
        if count:
            lines.append(line.model_copy(update={"count": count}))
    return lines


def _to_send_again(actuals: Actuals) -> list[OrderLine]:
    """Orders that had left before this plan and did not arrive."""
    return [
        entry.order.model_copy(update={"count": entry.parcels})
        for entry in actuals.entries
        if isinstance(entry, CameBack) and entry.order is not None and entry.again
    ]


def good_parts(campaign: Campaign, entry: ShotsMade, part: str) -> int:
    """Good parts an entry counts, or the planned share of its shots."""
    if part in entry.good:
        return entry.good[part]
    moulded = entry.shots * open_cavities(campaign, entry.tool, part)
    return floor(moulded * (1 - campaign.tools[entry.tool].scrap_share))


def _parts(
    campaign: Campaign, actuals: Actuals, packed: list[PackedOrders], products: dict[str, Any], notes: list[str]
) -> dict[str, Any]:
    """Stock of moulded items: what there was, and was moulded, less what went into parcels."""
    have: Counter[Item] = Counter()
    unfinished: Counter[Item] = Counter()
    for part, made in campaign.parts.items():
        for stock in made.stock:
            (have if stock.finished else unfinished)[part, tuple(stock.colours)] += stock.count
    for entry in actuals.entries:
        if isinstance(entry, ShotsMade):
            for part in campaign.tools[entry.tool].cavities:
                to = unfinished if not_here(campaign, part, entry.tool) else have
                to[part, tuple(entry.colours)] += good_parts(campaign, entry, part)
            for item, number in parts_in_a_shot(campaign, entry.tool).items():
                have[item] -= number * entry.shots
        elif isinstance(entry, PartsFinished):
            unfinished[entry.part, tuple(entry.colours)] -= entry.parts + entry.spoilt
            have[entry.part, tuple(entry.colours)] += entry.parts
        elif isinstance(entry, LotResult) and not entry.accepted:
            of = unfinished if not_here(campaign, entry.part) else have
            of[entry.part, tuple(entry.colours)] -= entry.pieces
    for part_of in packed:
        for (product, colourway), units in part_of.units.items():
            for item, per_unit in parts_of_unit(campaign, product, colourway).items():
                have[item] -= per_unit * units * part_of.orders
    _finished(campaign, have, unfinished, products, notes)
    parts = {}
    for part, made in campaign.parts.items():
        own = {colours: count for (name, colours), count in have.items() if name == part}
        for colours, count in own.items():
            if count < 0:
                notes.append(
                    f"{-count} more of {part} {'/'.join(colours)} packed or rejected than moulded; taken to be none"
                )
        in_hand = [PartStock(colours=list(c), count=n) for c, n in sorted(own.items()) if n > 0]
        raw = {colours: count for (name, colours), count in unfinished.items() if name == part and count > 0}
        in_hand += [PartStock(colours=list(c), count=n, finished=False) for c, n in sorted(raw.items())]
        parts[part] = made.model_copy(update={"stock": in_hand})
    return parts


def _finished(
    campaign: Campaign, have: Counter[Item], unfinished: Counter[Item], products: dict[str, Any], notes: list[str]
) -> None:
    """Parts in units and sub-assemblies in hand, and packed, were finished; of the others nobody has said so. Changes
    both in place."""
    in_units: Counter[Item] = Counter()
    for name, product in products.items():
        for colourway, units in product.assembled.items():
            for item, per_unit in parts_of_unit(campaign, name, colourway).items():
                in_units[item] += per_unit * units
        for sub in product.sub_assemblies.values():
            for colourway, units in sub.in_hand.items():
                for item, per_unit in parts_of_unit(campaign, name, colourway).items():
                    in_units[item] += per_unit * units * (item[0] in sub.parts)
    for item in sorted({*unfinished, *(item for item in have if not_here(campaign, item[0]))}):
        used = max(0, in_units[item] - have[item])
        have[item] += used
        unfinished[item] -= used
        if unfinished[item] < 0:
            have[item] += unfinished[item]
            unfinished[item] = 0
        elif unfinished[item]:
            notes.append(
                f"{unfinished[item]} of {item[0]} {'/'.join(item[1])} moulded: what is done to them before assembly is "
                "planned anew, the way here too; where it is done, write it down (`finished`)"
            )


def _pieces(campaign: Campaign, actuals: Actuals, packed: list[PackedOrders], notes: list[str]) -> dict[str, Any]:
    used: Counter[str] = Counter()
    for part_of in packed:
        for beside, number in part_of.pieces.items():
            used[beside] += number * part_of.orders
        for (product, _), units in part_of.units.items():
            for assembled, number in campaign.products[product].pieces.items():
                used[assembled] += number * units * part_of.orders
    for entry in actuals.entries:
        if isinstance(entry, ShotsMade):
            for piece_id, number in pieces_in_a_shot(campaign, entry.tool).items():
                used[piece_id] += number * entry.shots
    pieces = {}
    for name, piece in campaign.pieces.items():
        ordered = [
            Arrival(on=campaign.start + timedelta(days=order.lead_days), amount=order.pieces)
            for order in piece.also_from
        ]
        agreed = [*piece.arrivals, *ordered]
        came, arrivals = _deliveries(campaign, actuals, "piece", name, agreed, notes)
        have = piece.stock + round(came) - used[name]
        if have < 0:
            notes.append(f"{-have} more of {name} packed than there were; none taken to be left")
        pieces[name] = piece.model_copy(update={"stock": max(0, have), "arrivals": arrivals, "also_from": []})
    return pieces


def _products(campaign: Campaign, actuals: Actuals, packed: list[PackedOrders], notes: list[str]) -> dict[str, Any]:
    """Units assembled and not packed: those there were and that were assembled, less those in packed parcels."""
    have: Counter[tuple[str, str]] = Counter()
    back = units_back(campaign, actuals)
    for name, product in campaign.products.items():
        have.update({(name, colourway): units for colourway, units in product.assembled.items()})
    unknown: Counter[str] = Counter()
    for entry in actuals.entries:
        if isinstance(entry, Assembled):
            if entry.colourway is None:
                unknown[entry.product] += entry.units
            else:
                have[entry.product, entry.colourway] += entry.units
    for part_of in packed:
        for (name, colourway), units in part_of.units.items():
            have[name, colourway] -= units * part_of.orders
            unknown[name] -= units * max(0, part_of.orders)
    for name, colourway in have:
        # Units that came back are there whatever the log says of assembling.
        have[name, colourway] = max(0, have[name, colourway] - back[name, colourway]) + back[name, colourway]
    for name, units in sorted(unknown.items()):
        if units > 0:
            notes.append(f"{units} units of {name} assembled in a colourway not said: taken to be assembled again")
    gone: Counter[tuple[str, str]] = Counter()
    for part_of in packed:
        for unit, units in part_of.units.items():
            gone[unit] += units * part_of.orders
    return {
        name: product.model_copy(
            update={
                "assembled": {c: have[name, c] for c in product.colourways if have[name, c] > 0},
                "sub_assemblies": _sub_assemblies(product, name, actuals, have, gone),
            }
        )
        for name, product in campaign.products.items()
    }


def _sub_assemblies(
    product: Product,
    name: str,
    actuals: Actuals,
    have: Counter[tuple[str, str]],
    gone: Counter[tuple[str, str]],
) -> dict[str, SubAssembly]:
    """Those of a product, with what is left in hand of what there was and was put together: units assembled since have
    taken theirs first."""
    since = {c: have[name, c] + gone[name, c] - product.assembled.get(c, 0) for c in product.colourways}
    put: Counter[tuple[str, str]] = Counter()
    for entry in actuals.entries:
        if isinstance(entry, SubAssembled) and entry.product == name:
            put[entry.sub_assembly, entry.colourway] += entry.units
    return {
        what: sub.model_copy(
            update={
                "in_hand": {
                    c: left
                    for c in product.colourways
                    if (left := sub.in_hand.get(c, 0) + put[what, c] - max(0, since[c])) > 0
                }
            }
        )
        for what, sub in product.sub_assemblies.items()
    }


def _materials(
    campaign: Campaign, actuals: Actuals, notes: list[str], tried: Mapping[tuple[Kind, str], float]
) -> dict[str, dict[str, Any]]:
    """Resins and masterbatches: what there was and came, less shots, purges and what trials took (`tried`), regrind fed
    instead given back."""
    used: dict[tuple[str, str], float] = defaultdict(float)

    def take(melt: str, kg: float) -> None:
        resin, _, colour = melt.rpartition("/")
        share = let_down(campaign, resin, colour)
        used["resin", resin] += kg * (1 - share)
        used["colour", colour] += kg * share

    for entry in actuals.entries:
        if isinstance(entry, ShotsMade):
            own = _grams(campaign, entry.tool)
            for melt, grams in zip(melts_of(campaign, entry), own, strict=True):
                take(melt, entry.shots * grams / 1000)
                used["resin", melt.rpartition("/")[0]] -= entry.regrind_kg * grams / (sum(own) or 1)
        elif isinstance(entry, Purged):
            take(entry.to, entry.kg - entry.compound_kg)
    for (what, name), kg in tried.items():
        used["resin" if what == "resin" else "colour", name] += kg
    found: dict[str, dict[str, Any]] = {"resins": {}, "colours": {}}
    for kind, section in (("resin", campaign.resins), ("colour", campaign.colours)):
        for name, bought in section.items():
            found[kind + "s"][name] = _left(campaign, actuals, (kind, name), bought, used[kind, name], notes)
    return found


def _purging(campaign: Campaign, actuals: Actuals, notes: list[str]) -> Purging:
    """The purging section with what is left of the compound."""
    compound = campaign.purging.compound
    if compound is None:
        return campaign.purging
    used = sum(entry.compound_kg for entry in actuals.entries if isinstance(entry, Purged))
    left = _left(campaign, actuals, ("compound", compound.name), compound, used, notes)
    return campaign.purging.model_copy(update={"compound": left})


def _left(
    campaign: Campaign, actuals: Actuals, which: tuple[str, str], bought: AnyBought, used: float, notes: list[str]
) -> AnyBought:
    """What is in hand and still to come of something bought by weight. which: its kind and name in the entries."""
    came, arrivals = _deliveries(campaign, actuals, *which, bought.arrivals, notes)
    have = bought.stock_kg + came - used
    if have < -0.5:
        notes.append(f"{-have:.1f} kg more of {which[1]} used than there were; none taken to be left")
    return bought.model_copy(update={"stock_kg": round(max(0.0, have), 3), "arrivals": arrivals})


def _grams(campaign: Campaign, tool: str) -> list[float]:
    return shot_mass_g(campaign, campaign.tools[tool])


def melts_of(campaign: Campaign, entry: ShotsMade) -> list[str]:
    """`resin/colour` per barrel of what was moulded."""
    part = next(p for p in sorted(campaign.tools[entry.tool].cavities))
    resins = [barrel.resin for barrel in campaign.parts[part].barrels]
    return [f"{resin}/{colour}" for resin, colour in zip(resins, entry.colours, strict=True)]


def _deliveries(
    campaign: Campaign, actuals: Actuals, kind: str, name: str, agreed: list[Arrival], notes: list[str]
) -> tuple[float, list[Arrival]]:
    """What came, and what is still to come: deliveries count against those agreed, the earliest first."""
    mine = [e for e in actuals.entries if isinstance(e, Delivered | Ordered) and (e.of, e.id) == (kind, name)]
    came = sum(e.amount for e in mine if isinstance(e, Delivered))
    ordered = [Arrival(on=e.due, amount=e.amount) for e in mine if isinstance(e, Ordered)]
    still = sorted([*agreed, *ordered], key=lambda a: first_moment(a.on))
    owed = came
    arrivals = []
    tomorrow = actuals.as_of + timedelta(days=1)
    for arrival in still:
        taken = min(owed, arrival.amount)
        owed -= taken
        amount = arrival.amount - taken
        if amount <= 1e-9:
            continue
        on = arrival.on
        if first_moment(on) <= actuals.as_of:
            notes.append(f"{amount:g} of {name} were due on {on} and have not come: taken to come tomorrow")
            on = tomorrow
        arrivals.append(Arrival(on=on, amount=amount))
    return came, arrivals


def _tools(campaign: Campaign, actuals: Actuals, notes: list[str]) -> dict[str, Any]:
    news = {e.tool: e for e in actuals.entries if isinstance(e, ToolNews)}
    ran: dict[str, set[str]] = defaultdict(set)
    last: dict[str, list[str]] = {}
    for entry in _by_time(actuals):
        if isinstance(entry, ShotsMade):
            last[entry.tool] = melts_of(campaign, entry)
            ran[entry.tool] |= {melt.rpartition("/")[0] for melt in last[entry.tool]}
    tools = {}
    for name, tool in campaign.tools.items():
        if name in news:
            tools[name] = tool.model_copy(update=NO_STEPS | {"ready": news[name].ready})
        elif name in ran:
            tools[name] = tool.model_copy(update=NO_STEPS | {"ready": None})
        else:
            tools[name] = _steps_done(campaign, name, actuals)
    ready = ready_days(campaign.model_copy(update={"tools": tools}))
    for name, tool in tools.items():
        at = ready[name]
        update: dict[str, Any] = {}
        if at is not None and first_moment(at) <= actuals.as_of:
            if name not in news and not tool.until_ready:
                notes.append(f"tool {name} was due on {at}: taken to be ready")
            update = NO_STEPS | {"ready": None}
        if name in ran and any(tool.hot_runner_kg):
            update["hot_runner_has_held"] = sorted({*tool.hot_runner_resins, *ran[name]})
            update |= {"hot_runner_holds": last[name], "hot_runner_clean": False}
        tools[name] = tool.model_copy(update=update)
    return tools


def _steps_done(campaign: Campaign, name: str, actuals: Actuals) -> Tool:
    """A tool with the steps ticked that the log says are done; the others go on from the day on which they began to."""
    tool = campaign.tools[name]
    if not tool.until_ready:
        return tool
    done = {e.step: e.at for e in actuals.entries if isinstance(e, StepDone) and e.tool == name}
    steps = {
        step_id: step.model_copy(update={"done": done[step_id]}) if step_id in done else step
        for step_id, step in tool.until_ready.items()
    }
    begun = tool.steps_from or campaign.start.date()
    return tool.model_copy(update={"until_ready": steps, "steps_from": begun, "steps_as_of": actuals.as_of})


def _presses(campaign: Campaign, actuals: Actuals) -> dict[str, Any]:
    """What is mounted and what the barrels hold, by the last thing done at each press."""
    presses = dict(campaign.presses)
    for entry in _by_time(actuals):
        if isinstance(entry, ShotsMade):
            for other, press in presses.items():
                if press.tool == entry.tool and other != entry.press:
                    presses[other] = press.model_copy(update={"tool": None})
            press = presses[entry.press]
            held = dict(enumerate(melts_of(campaign, entry)))
            barrels = [_now_holding(b, held.get(k, b.holds)) for k, b in enumerate(press.barrels)]
            presses[entry.press] = press.model_copy(update={"tool": entry.tool, "barrels": barrels})
        elif isinstance(entry, Purged):
            press = presses[entry.press]
            barrels = [_now_holding(b, entry.to) if k + 1 == entry.barrel else b for k, b in enumerate(press.barrels)]
            presses[entry.press] = press.model_copy(update={"barrels": barrels})
    return {name: _after_others(campaign, name, press, actuals) for name, press in presses.items()}


def _after_others(campaign: Campaign, name: str, press: Press, actuals: Actuals) -> Press:
    """A press on which others may have worked since the last entry: not our tool, and their melt."""
    if not press.others:
        return press
    clock = Clock.starting(campaign.start, campaign.time_zone)
    until = clock.seconds(actuals.as_of)
    ours = [clock.seconds(e.at) for e in actuals.entries if getattr(e, "press", None) == name]
    since = max(ours, default=0)
    _, taken = press_stretches(campaign, press, clock, until // 86400 + 2)
    between = [one for one in taken if one.start < until and one.end > since]
    if not between:
        return press
    last = max(min(one.end, until) for one in between)
    who = [one.which for one in between if min(one.end, until) == last]
    barrels = []
    for k, barrel in enumerate(press.barrels):
        left = {press.others[n].leaves[k] if k < len(press.others[n].leaves) else None for n in who}
        melt = left.pop() if len(left) == 1 else None
        barrels.append(_now_holding(barrel, melt).model_copy(update={"clean": False, "unknown": melt is None}))
    return press.model_copy(update={"tool": None, "barrels": barrels})


def _now_holding(barrel: Barrel, melt: str | None) -> Barrel:
    """The barrel with that melt in it; which resins it has held is never forgotten."""
    gone = [resin for resin in barrel.resins_in_it if melt is None or resin != melt.rpartition("/")[0]]
    return barrel.model_copy(
        update={
            "holds": melt,
            "has_held": gone,
            "clean": barrel.clean and melt is None,
            "unknown": barrel.unknown and melt is None,
        }
    )


def _by_time(actuals: Actuals) -> list[Any]:
    return sorted(actuals.entries, key=lambda e: e.at)


def _begun(campaign: Campaign, now: Campaign, actuals: Actuals, plan: RunPlan | None) -> dict[str, Any]:
    """Presses that go on with the run they are at, then with the runs the maker pinned and nobody has finished.

    Of a run under way the shots are fixed that the plan still has for it; what it was to do later is planned again.
    """
    wanted = {(run.tool, run.colours) for run in run_demands(now)}
    last: dict[str, ShotsMade] = {}
    ended: set[tuple[str, tuple[str, ...]]] = set()
    for entry in _by_time(actuals):
        if isinstance(entry, ShotsMade):
            last[entry.press] = entry
            (ended.add if entry.done else ended.discard)((entry.tool, tuple(entry.colours)))
    presses = {}
    taken: set[tuple[str, tuple[str, ...]]] = set()
    for name, press in now.presses.items():
        first = []
        if name in last and press.tool == last[name].tool and not last[name].done:
            at = last[name]
            first.append(StartedRun(tool=at.tool, colours=at.colours, shots=_left_of_run(actuals, plan, at)))
        runs = []
        for run in [*first, *campaign.presses[name].begins_with]:
            key = (run.tool, tuple(run.colours))
            if key in wanted and key not in taken and key not in ended:
                taken.add(key)
                runs.append(run)
        presses[name] = press.model_copy(update={"begins_with": runs})
    return presses


def _left_of_run(actuals: Actuals, plan: RunPlan | None, last: ShotsMade) -> int | None:
    """Shots the plan still has for the run a press is at; None where no plan says, so that all stays where it is."""
    if plan is None:
        return None
    runs = [
        run
        for run in plan.runs
        if (run.press, run.tool) == (last.press, last.tool)
        and [melt.rpartition("/")[2] for melt in run.melts] == list(last.colours)
    ]
    if not runs:
        return None
    made = sum(
        e.shots
        for e in actuals.entries
        if isinstance(e, ShotsMade) and (e.press, e.tool, e.colours) == (last.press, last.tool, last.colours)
    )
    for run in sorted(runs, key=lambda r: r.start):  # the plan's runs of it, the earliest first, use up what was made
        if made < run.shots:
            return run.shots - made
        made -= run.shots
    return 1
