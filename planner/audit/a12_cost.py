"""A12: cost lines add to the total; lower bound <= total. Each line is recomputed from what the plan does."""

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from planner.audit import masses
from planner.audit.a08_finishing import costs as finishing_costs
from planner.audit.a09_people import assembly_minutes
from planner.audit.a12_apart import told_apart
from planner.audit.a12_cash import cash
from planner.audit.any_order import IN_ANY_ORDER
from planner.audit.carriers import late_money, least_pallets, pallet_money
from planner.audit.case import Case, Work
from planner.audit.charges import charges, energy_rate, least_pieces
from planner.audit.figures import KG, MONEY, exact, same, seconds_of, whole_up
from planner.audit.findings import Findings
from planner.audit.pieces import money
from planner.audit.places import setters_of
from planner.audit.postage import extra_postage, postage
from planner.audit.purge_estimates import Opinion
from planner.audit.purges import given_for
from planner.audit.sampling import bench_minutes
from planner.audit.worked import changeover_seconds, staying_money, worked_seconds
from planner.plan.document import PieceNeed, RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A12: every line, every run's money, the total, the bound and the gap."""
    notes = Findings("A12")
    notes.expect(case.plan.currency == case.campaign.currency, f"money is in {case.campaign.currency}")
    ours, told = _lines(case), Counter[str](line.what for line in case.plan.costs)
    for what, times in told.items():
        notes.expect(times == 1, f"cost line {what} stands {times} times")
    for line in case.plan.costs:
        notes.expect(
            same(line.amount, ours.get(line.what, 0.0), MONEY),
            f"{line.what} cost {ours.get(line.what, 0.0):.2f}, the plan says {line.amount:.2f}",
        )
    for what, amount in ours.items():
        notes.expect(what in told or abs(amount) <= MONEY, f"cost line {what} of {amount:.2f} is missing")
    told_apart(case, ours, notes)
    for work in case.works:
        _run(case, work, notes)
    _outcome(case, notes)
    for trouble in (*_asked_for(case), *_log_says(case)):
        notes.fault(trouble)
    _objective_gap(case, notes)
    cash(case, notes)
    return notes.verdict(True, "costs")


def _lines(case: Case) -> dict[str, float]:
    """Every cost line, recomputed once; to be read only."""
    return case.once(("cost lines",), lambda: _recomputed(case))


def _recomputed(case: Case) -> dict[str, float]:
    campaign, plan, floor = case.campaign, case.plan, case.campaign.floor
    amounts: dict[str, float] = {}
    amounts["press hours"] = sum(worked_seconds(case, w) / 3600 * w.press.rate_per_hour for w in case.works)
    amounts["energy"] = sum(worked_seconds(case, w) / 3600 * energy_rate(case, w) for w in case.works)
    for paid in charges(case).values():
        for what, asked in paid.items():
            amounts[what] = amounts.get(what, 0.0) + asked
    cleanings = sum(load.cleaned_from is not None for load in plan.drying) * seconds_of(floor.dryer_cleaning_minutes)
    setting = sum(changeover_seconds(case, w) / 3600 * setters_of(campaign, w.press)[1] for w in case.works)
    amounts["setter hours"] = setting + cleanings / 3600 * floor.setter_rate_per_hour
    amounts["operator hours"] = sum(staying_money(case, w) for w in case.works)
    amounts["moulded material"] = sum(masses.priced(case.campaign, w, masses.moulded_kg(w)) for w in case.works) - sum(
        line.regrind_kg * line.price_per_kg for line in plan.materials
    )
    amounts["purge material"] = sum(
        masses.priced(campaign, w, masses.purged_kg(w))
        + masses.priced(campaign, w, masses.reopened_kg(w))
        + masses.cleared(campaign, w)[1]
        for w in case.works
    )
    compound = campaign.purging.compound
    cleaned = sum(masses.compound_kg(w) for w in case.works)
    amounts["purging compound"] = cleaned * compound.price_per_kg if compound else 0.0
    amounts["start-up material"] = sum(masses.priced(case.campaign, w, masses.startup_kg(w)) for w in case.works)
    amounts["disposal"] = floor.disposal_per_kg * sum(
        sum(masses.purged_kg(w))
        + sum(masses.reopened_kg(w))
        + masses.cleared(case.campaign, w)[0]
        + masses.compound_kg(w)
        + sum(masses.startup_kg(w))
        for w in case.works
    )
    amounts["unused minimum orders"] = sum(
        line.price_per_kg
        * (line.bought_kg - min(line.bought_kg, max(0.0, line.used_kg - line.stock_kg - line.arriving_kg)))
        for line in plan.materials
    ) + pieces_left(case)
    amounts["bought-in pieces"] = sum(_money(case, line)[0] for line in plan.pieces)
    inspecting = bench_minutes(case)
    amounts["assembly labour"] = campaign.assembly.rate_per_hour * sum(
        whole_up(60 * assembly_minutes(case, job, inspecting)[0]) / 3600
        for job in plan.assembly
        if job.product in campaign.products
    )
    amounts["packing labour"] = campaign.packing.rate_per_hour * sum(
        whole_up(batch.parcels * exact(campaign.tiers[batch.tier].pack_minutes) * 60) / 3600
        for batch in plan.batches
        if batch.tier in campaign.tiers
    )
    amounts |= finishing_costs(case)
    amounts["postage"] = postage(case)
    amounts["pallets"] = sum(pallet_money(case, dispatch) for dispatch in plan.dispatches)
    amounts["extra postage"] = float(sum((extra_postage(case, batch) for batch in plan.batches), Fraction(0)))
    amounts["lateness"] = _lateness(case)
    return amounts


def pieces_left(case: Case) -> float:
    """Money in the pieces that whole packs and minimum orders leave over."""
    return sum(_money(case, line)[1] for line in case.plan.pieces)


def _money(case: Case, line: PieceNeed) -> tuple[float, float]:
    piece = case.campaign.pieces.get(line.id)
    if piece is None:
        return line.used * line.price, 0.0  # A11 says so
    used, left = money(piece, line.used, line.bought)
    return float(used), float(left)


def _lateness(case: Case) -> float:
    leaves = {name: d.at for d in case.plan.dispatches for name in d.batches}
    return float(
        sum(
            (
                late_money(case, batch, case.clock.second(leaves[batch.id]))
                for batch in case.plan.batches
                if batch.id in leaves
            ),
            Fraction(0),
        )
    )


def _run(case: Case, work: Work, notes: Findings) -> None:
    """Press, setter, operator, purge and start-up money of one run, and of each of its purges."""
    floor = case.campaign.floor
    compound = case.campaign.purging.compound
    compound_per_kg = (compound.price_per_kg if compound else 0.0) + floor.disposal_per_kg
    kgs = zip(masses.purged_kg(work), masses.reopened_kg(work), masses.startup_kg(work), strict=True)
    waste = [sum(barrel) for barrel in kgs]
    cleared, cleared_money = masses.cleared(case.campaign, work)
    money = (
        worked_seconds(case, work) / 3600 * (work.press.rate_per_hour + energy_rate(case, work))
        + changeover_seconds(case, work) / 3600 * setters_of(case.campaign, work.press)[1]
        + staying_money(case, work)
        + masses.priced(case.campaign, work, waste)
        + (sum(waste) + cleared) * floor.disposal_per_kg
        + cleared_money
        + masses.compound_kg(work) * compound_per_kg
    )
    notes.expect(same(work.run.cost, money, MONEY), f"{work}: costs {money:.2f}, the plan says {work.run.cost:.2f}")
    again = [purge for stretch in work.run.stretches for purge in stretch.purges]
    for purge in [*(work.run.changeover.purges if work.run.changeover else []), *again]:
        if 1 <= purge.barrel <= work.barrels:
            per_kg = masses.price_of(case.campaign, work.melts[purge.barrel - 1]) + floor.disposal_per_kg
            money = (purge.kg - purge.compound_kg - purge.bridge_kg) * per_kg + purge.compound_kg * compound_per_kg
            if purge.bridge in case.campaign.resins:
                bridge = case.campaign.resins[purge.bridge]
                money += purge.bridge_kg * (bridge.price_per_kg + floor.disposal_per_kg)
            notes.expect(
                same(purge.cost, money, MONEY + KG * (per_kg + compound_per_kg)),
                f"{work}: purging {purge.kg:g} kg costs {money:.2f}, the plan says {purge.cost:.2f}",
            )


def _outcome(case: Case, notes: Findings) -> None:
    outcome, total = case.plan.outcome, sum(line.amount for line in case.plan.costs)
    notes.expect(
        same(outcome.total, total, MONEY * max(1, len(case.plan.costs))),
        f"the cost lines add up to {total:.2f}, the plan says {outcome.total:.2f}",
    )
    notes.expect(
        outcome.lower_bound <= outcome.total + MONEY,
        f"the lower bound {outcome.lower_bound:.2f} is above the total {outcome.total:.2f}",
    )
    gap = (outcome.total - outcome.lower_bound) / outcome.total if outcome.total else 0.0
    notes.expect(abs(outcome.gap - gap) <= 1e-4, f"the gap is {gap:.4f}, the plan says {outcome.gap:.4f}")
    fixed = _in_any_order(case)
    notes.expect(
        same(outcome.avoidable, total - fixed, MONEY * max(1, len(case.plan.costs))),
        f"{fixed:.2f} of the cost is the same in any order of work, so that {total - fixed:.2f} could be avoided; the "
        f"plan says {outcome.avoidable:.2f}",
    )
    left = min(1.0, (outcome.total - outcome.lower_bound) / outcome.avoidable) if outcome.avoidable > 0 else 0.0
    notes.expect(
        abs(outcome.avoidable_gap - left) <= 1e-4,
        f"of what can be avoided {left:.4f} could still be saved, the plan says {outcome.avoidable_gap:.4f}",
    )
    above, unit = outcome.total - outcome.lower_bound, "money"
    proven = above <= MONEY + 1e-6  # nobody is told money more finely than to the cent (RULES.md, G1)
    if outcome.aim_gap is not None:
        above, unit, proven = 100 * outcome.aim_gap, "%", outcome.aim_gap <= 1e-4
    notes.expect(
        outcome.status != "optimal" or proven,
        f"a plan {above:.3g} {unit} above the bound of its aim is not proven optimal",
    )


def _in_any_order(case: Case) -> float:
    """Money that no order of work changes: what is moulded, assembled, packed and posted, the least that is charged for
    pieces, and pieces left over."""
    lines = _lines(case)
    return pieces_left(case) + least_pieces(case) + least_pallets(case) + sum(lines[what] for what in IN_ANY_ORDER)


def _asked_for(case: Case) -> Iterator[str]:
    """The aim is the campaign's, and where it is not money the plan says what it has of it."""
    outcome, asked = case.plan.outcome, case.campaign.planning.aim
    unit = {"soonest": "days", "waste": "kg"}.get(asked)
    if outcome.aim != asked:
        yield f"the campaign's aim is {asked}, the plan's {outcome.aim}"
    elif outcome.aim_unit != unit or (outcome.aim_value is None) != (unit is None):
        yield f"with the aim {asked} it counts what it has of it in {unit or 'money'}, not in {outcome.aim_unit}"
    if (outcome.status == "optimal") != (outcome.ended == "proven"):
        yield f"a plan of which the search ended with `{outcome.ended}` is called {outcome.status}"


def _log_says(case: Case) -> Iterator[str]:
    """What the purges and the whole cost with the log and without it, as far as the two documents can tell."""
    said = case.plan.purging
    if said is None:
        return
    barrels = sum(
        purge.kg - purge.bridge_kg
        for work in case.works
        for purge in (work.run.changeover.purges if work.run.changeover else [])
        if purge.where == "barrel"
    )
    if not same(said.kg_with_log, barrels, KG * max(1, len(case.works))):
        yield f"the barrels' purges add up to {barrels:.3f} kg, with the log they are said to be {said.kg_with_log:.3f}"
    if said.total_with_log is not None and not same(said.total_with_log, case.plan.outcome.total, MONEY):
        yield f"with the log it is said to cost {said.total_with_log:.2f}, its total is {case.plan.outcome.total:.2f}"
    if not case.campaign.purging.log and (
        not same(said.kg_without_log, said.kg_with_log, KG)
        or any(
            one is not None and not same(one, said.total_with_log or 0.0, MONEY)
            for one in (said.total_unlogged, said.total_without_log)
        )
    ):
        yield "nothing is logged, yet figures with the log and without it differ"
    unlogged = _without_log(case)
    if unlogged is None:
        return
    kg, total = unlogged
    purges = sum(len(work.run.changeover.purges) for work in case.works if work.run.changeover)
    if not same(said.kg_without_log, kg, KG * (1 + purges)):
        yield f"without the log those purges take {kg:.3f} kg, the plan says {said.kg_without_log:.3f}"
    if said.total_unlogged is not None and not same(said.total_unlogged, total, MONEY * (1 + purges)):
        yield f"without the log the plan costs {total:.2f}, it says {said.total_unlogged:.2f}"


def _without_log(case: Case) -> tuple[float, float] | None:
    """Kg of the same purges of barrels had nothing been logged, worked out anew, and the plan's total with what they
    then cost, all else as it is; None where a compound is used, a melt is not known, or a barrel is named that is not
    there."""
    bare = case
    if case.campaign.purging.log:
        purging = case.campaign.purging.model_copy(update={"log": []})
        bare = Case(case.campaign.model_copy(update={"purging": purging}), case.plan)
    opinion, kg, floor, total = Opinion(bare), 0.0, case.campaign.floor, case.plan.outcome.total
    for work in bare.works:
        for purge in work.run.changeover.purges if work.run.changeover else []:
            if purge.where != "barrel":
                continue
            named = all("/" in melt for melt in (purge.from_, purge.to))  # an unknown melt has no resin
            if purge.compound_kg or not named or not 1 <= purge.barrel <= work.barrels:
                return None
            given = given_for(bare, work.run.press, purge.barrel, purge.from_, purge.to)
            own = opinion.barrel(work.run.press, purge.barrel, purge.from_, purge.to).kg if given is None else given.kg
            kg += own
            melted = purge.kg - purge.bridge_kg
            if melted <= 0:
                continue
            hours = (purge.seconds - purge.heat_seconds) / 3600 * (own / melted - 1)
            total += hours * (
                work.press.rate_per_hour + energy_rate(case, work) + setters_of(case.campaign, work.press)[1]
            )
            total += (own - melted) * (
                masses.price_of(case.campaign, work.melts[purge.barrel - 1]) + floor.disposal_per_kg
            )
    return kg, total


def _objective_gap(case: Case, notes: Findings) -> None:
    """Where the plan names a bound of what it aims at: what it has of it, and how far that is above the bound."""
    outcome = case.plan.outcome
    if outcome.aim_unit is None or outcome.aim_value is None or outcome.aim_bound is None:
        return
    last = max((case.clock.second(sent.at) for sent in case.plan.dispatches), default=case.start)
    days = (last - case.start) / 86400
    kg = sum(line.purge_kg + line.startup_kg for line in case.plan.materials)
    ours = days if outcome.aim_unit == "days" else kg + (case.campaign.planning.kg_per_day or 0.0) * days
    notes.expect(
        same(outcome.aim_value, ours, KG) and outcome.aim_bound <= outcome.aim_value,
        f"of its aim the plan has {ours:.3f} {outcome.aim_unit}, it says {outcome.aim_value:.3f}, bound "
        f"{outcome.aim_bound:.3f}",
    )
    gap = (outcome.aim_value - outcome.aim_bound) / outcome.aim_value if outcome.aim_value else 0.0
    notes.expect(
        outcome.aim_gap is not None and abs(outcome.aim_gap - gap) <= 1e-6, f"the gap to the aim's bound is {gap:.4f}"
    )
