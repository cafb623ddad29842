"""A12, cash: every payment of the plan's orders, deliveries and work, on its day and of its amount (RULES.md, M5)."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, datetime, timedelta

from planner.audit import masses
from planner.audit.a08_finishing import due
from planner.audit.a09_people import assembly_minutes
from planner.audit.carriers import pallet_money
from planner.audit.case import Case, closing_of
from planner.audit.charges import charges, energy_rate
from planner.audit.figures import MONEY, exact, seconds_of, whole_up
from planner.audit.findings import Findings
from planner.audit.pieces import part_deliveries, price
from planner.audit.places import setters_of, who_stay
from planner.audit.postage import extra_postage, postage_by_day
from planner.audit.sampling import bench_minutes
from planner.campaign.materials import Bought

Entry = tuple[date, str, str, float]
"""(day, what, of, amount)"""


def cash(case: Case, notes: Findings) -> None:
    """The plan lists each payment once, with its day; plans of old list none."""
    if not case.plan.cash:
        return
    ours: defaultdict[tuple[date, str, str], float] = defaultdict(float)
    for day, what, of, amount in [*_orders(case), *_deliveries(case), *_work(case), *_postage(case), *due(case)]:
        ours[day, what, of] += amount
    told: defaultdict[tuple[date, str, str], float] = defaultdict(float)
    for line in case.plan.cash:
        told[line.on, line.what, line.of] += line.amount
    for key in {*ours, *told}:
        notes.expect(
            abs(ours[key] - told[key]) <= 2 * MONEY,
            f"on {key[0]} {ours[key]:.2f} is to be paid ({key[1]}, {key[2]}), the plan says {told[key]:.2f}",
        )


def _orders(case: Case) -> Iterator[Entry]:
    for line in case.plan.materials:
        if not masses.is_bought(case.campaign, (line.kind, line.id)):
            continue  # A11 says so
        terms = masses.bought(case.campaign, (line.kind, line.id))
        if line.order_by is not None and terms.lead_days is not None:
            name = line.id if line.kind == "resin" else f"{line.kind} {line.id}"
            money = line.bought_kg * terms.price_per_kg
            first = money * terms.deposit_share
            yield line.order_by, "deposit", name, first
            last = line.order_by + timedelta(days=terms.lead_days + terms.balance_days)
            yield max(last, line.order_by), "balance", name, money - first
    for need in case.plan.pieces:
        piece = case.campaign.pieces.get(need.id)
        if piece is not None and need.order_by is not None and piece.lead_days is not None:
            for days, count in part_deliveries(piece, need.bought):
                due = float(count * price(piece, need.bought))
                yield need.order_by, "deposit", need.id, due * piece.deposit_share
                last = need.order_by + timedelta(days=days + piece.balance_days)
                yield max(last, need.order_by), "balance", need.id, due * (1 - piece.deposit_share)
    begun = case.campaign.start.date()
    for name, piece in case.campaign.pieces.items():
        for one in piece.also_from:
            due, what = float(one.pieces * exact(one.price)), f"{name} from {one.supplier}"
            yield begun, "deposit", what, due * piece.deposit_share
            last = max(begun, begun + timedelta(days=one.lead_days + piece.balance_days))
            yield last, "balance", what, due * (1 - piece.deposit_share)


def _deliveries(case: Case) -> Iterator[Entry]:
    campaign = case.campaign
    compound = campaign.purging.compound
    weighed: list[tuple[str, Bought]] = [*campaign.resins.items()]
    weighed += [(f"masterbatch {name}", colour) for name, colour in campaign.colours.items()]
    weighed += [(f"purging compound {compound.name}", compound)] if compound is not None else []
    for name, bought in weighed:
        for arrival in bought.arrivals:
            rest = arrival.amount * bought.price_per_kg * (1 - bought.deposit_share)
            yield _day(arrival.on) + timedelta(days=bought.balance_days), "agreed delivery", name, rest
    for name, piece in campaign.pieces.items():
        for arrival in piece.arrivals:
            rest = arrival.amount * piece.price * (1 - piece.deposit_share)
            yield _day(arrival.on) + timedelta(days=piece.balance_days), "agreed delivery", name, rest


def _work(case: Case) -> Iterator[Entry]:
    campaign, floor = case.campaign, case.campaign.floor
    for work in case.works:
        spans = [(stretch.start, stretch.end) for stretch in work.run.stretches]
        change = work.run.changeover
        spans += [(change.start, change.end)] if change else []
        for start, end in spans:
            hours = (case.clock.second(end) - case.clock.second(start)) / 3600
            yield _week(case, start), "work", "press hours", hours * work.press.rate_per_hour
            yield _week(case, start), "work", "energy", hours * energy_rate(case, work)
        for stretch in work.run.stretches if work.tool.operators else ():
            seconds = case.clock.second(stretch.end) - case.clock.second(stretch.start)
            seconds -= stretch.restart_seconds + closing_of(stretch)
            money = seconds / 3600 * work.tool.operators * who_stay(campaign, work.press)[1]
            yield _week(case, stretch.start), "work", "operator hours", money
        if change:
            hours = (case.clock.second(change.end) - case.clock.second(change.start)) / 3600
            yield _week(case, change.start), "work", "setter hours", hours * setters_of(campaign, work.press)[1]
        wasted = sum(masses.purged_kg(work)) + sum(masses.reopened_kg(work)) + masses.compound_kg(work)
        wasted += sum(masses.startup_kg(work)) + sum(masses.cleared_kg(campaign, work).values())
        yield _week(case, work.run.start), "work", "disposal", wasted * floor.disposal_per_kg
    for press, paid in charges(case).items():
        last = max((work.run.end for work in case.by_press[press]), key=case.clock.second)
        yield _week(case, last), "work", f"charges of press {press}", sum(paid.values())
    for load in case.plan.drying:
        if load.cleaned_from is not None:
            hours = seconds_of(floor.dryer_cleaning_minutes) / 3600
            yield _week(case, load.cleaned_from), "work", "setter hours", hours * floor.setter_rate_per_hour
    inspecting = bench_minutes(case)
    for job in case.plan.assembly:
        if job.product in campaign.products:
            hours = whole_up(60 * assembly_minutes(case, job, inspecting)[0]) / 3600
            yield _week(case, job.start), "work", "assembly labour", hours * campaign.assembly.rate_per_hour
    for batch in case.plan.batches:
        if batch.tier in campaign.tiers:
            hours = whole_up(batch.parcels * exact(campaign.tiers[batch.tier].pack_minutes) * 60) / 3600
            yield _week(case, batch.start), "work", "packing labour", hours * campaign.packing.rate_per_hour


def _postage(case: Case) -> Iterator[Entry]:
    for day, money in postage_by_day(case):
        yield day, "postage", "postage", money
    for dispatch in case.plan.dispatches:
        yield case.clock.day(case.clock.second(dispatch.at)), "postage", "pallets", pallet_money(case, dispatch)
    leaves = {name: dispatch.at for dispatch in case.plan.dispatches for name in dispatch.batches}
    for batch in case.plan.batches:
        money = float(extra_postage(case, batch))
        if money and batch.id in leaves:
            yield case.clock.day(case.clock.second(leaves[batch.id])), "postage", "extra postage", money


def _week(case: Case, moment: datetime) -> date:
    """The last day of the week, Monday to Sunday, in which the moment lies."""
    day = case.clock.day(case.clock.second(moment))
    return day + timedelta(days=7 - day.isoweekday())


def _day(on: date | datetime) -> date:
    return on.date() if isinstance(on, datetime) else on
