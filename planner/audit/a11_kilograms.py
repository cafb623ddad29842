"""A11: kilograms reconcile: used = moulded + start-up + purge - regrind; bought + stock >= used. Pieces likewise."""

from collections import Counter, defaultdict
from fractions import Fraction

from planner.audit import masses
from planner.audit.a11_buying import buying, pieces
from planner.audit.case import Case
from planner.audit.figures import KG, exact, same
from planner.audit.findings import Findings
from planner.audit.masses import Material
from planner.audit.trial_stock import for_trials
from planner.plan.document import Material as MaterialLine
from planner.plan.document import RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A11 for every resin, masterbatch and purging compound, and for every bought-in piece."""
    notes = Findings("A11")
    totals = _totals(case)
    lines = Counter((line.kind, line.id) for line in case.plan.materials)
    for material in sorted(set(lines) | set(totals)):
        notes.expect(
            lines[material] == 1, f"{_said(material)} must stand once in the materials, not {lines[material]} times"
        )
    for line in case.plan.materials:
        if (line.kind, line.id) in totals:
            _line(case, line, totals[line.kind, line.id], notes)
        else:
            notes.fault(f"{line.kind} `{line.id}` stands in the materials, but no run takes any")
    purged = sum(
        purge.kg for work in case.works for purge in (work.run.changeover.purges if work.run.changeover else [])
    )
    purged += sum(
        sum(masses.reopened_kg(work)) + sum(masses.closings_kg(case.campaign, work).values()) for work in case.works
    )
    notes.expect(
        same(case.plan.purge_kg, purged, KG), f"purges add up to {purged:.3f} kg, not {case.plan.purge_kg:g} kg"
    )
    pieces(case, notes)
    return notes.verdict(case.moulding_due, "material")


def _said(material: Material) -> str:
    return f"{material[0]} `{material[1]}`"


class Total:
    """What the runs take of one material, kg. most_regrind: what could be fed back, same resin and colour only."""

    def __init__(self) -> None:
        self.moulded = self.startup = self.purge = self.most_regrind = 0.0
        self.first: int | None = None


def _totals(case: Case) -> dict[Material, Total]:
    totals: dict[Material, Total] = {}
    for work in case.works:
        for field, per_barrel in (
            ("moulded", masses.moulded_kg(work)),
            ("startup", masses.startup_kg(work)),
            ("purge", masses.purged_kg(work)),
            ("purge", masses.reopened_kg(work)),
        ):
            for material, kg in masses.of_materials(case.campaign, work, per_barrel).items():
                total = totals.setdefault(material, Total())
                setattr(total, field, getattr(total, field) + kg)
                total.first = work.begin if total.first is None else min(total.first, work.begin)
        more = masses.cleared_kg(case.campaign, work)
        compound, kg = masses.compound_of(case.campaign), masses.compound_kg(work)
        if compound is not None and kg > 0:
            more[compound] = kg
        for material, kg in more.items():
            total = totals.setdefault(material, Total())
            total.purge += kg
            total.first = work.begin if total.first is None else min(total.first, work.begin)
    for material, kg in _most_regrind(case).items():
        totals[material].most_regrind = kg
    return totals


def _most_regrind(case: Case) -> dict[Material, float]:
    """Resin -> kg of runners that may be fed back: same resin and colour only, up to the resin's share of the melt.

    Masterbatch is dosed in full, so none of it is saved.
    """
    moulded: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    runners: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    for work in case.works:
        for melt, grams, runner in zip(work.melts, work.shot_g, work.runner_g, strict=True):
            moulded[melt] += work.run.shots * grams / 1000
            runners[melt] += work.run.shots * runner / 1000
    most: dict[Material, float] = defaultdict(float)
    for (resin, colour), kg in moulded.items():
        limit = exact(case.campaign.resins[resin].regrind_share)
        most["resin", resin] += float(min(limit * kg, runners[resin, colour]))
    return most


def _line(case: Case, line: MaterialLine, total: Total, notes: Findings) -> None:
    what, entry = f"{line.kind} `{line.id}`", masses.bought(case.campaign, (line.kind, line.id))
    arriving, (trials, kept) = sum(one.amount for one in entry.arrivals), for_trials(case, (line.kind, line.id))
    stock = entry.stock_kg - kept
    used = line.moulded_kg + line.startup_kg + line.purge_kg - line.regrind_kg
    for name, told, ours in (
        ("moulded", line.moulded_kg, total.moulded),
        ("start-up", line.startup_kg, total.startup),
        ("purge", line.purge_kg, total.purge),
        ("used", line.used_kg, used),
        ("in stock", line.stock_kg, stock),
        ("for trials", line.trials_kg, trials),
        ("brought for trials", line.trials_brought_kg, trials - kept),
        ("arriving", line.arriving_kg, arriving),
        ("left over", line.left_over_kg, stock + arriving + line.bought_kg - used),
    ):
        notes.expect(same(told, ours, 4 * KG), f"{what}: {name} {ours:.3f} kg, the plan says {told:g} kg")
    notes.expect(
        line.price_per_kg == entry.price_per_kg, f"{what}: costs {entry.price_per_kg:g} a kg, not {line.price_per_kg:g}"
    )
    notes.expect(
        -KG <= line.regrind_kg <= total.most_regrind + KG,
        f"{what}: at most {total.most_regrind:.3f} kg of regrind may be fed back, "
        f"the plan counts on {line.regrind_kg:g} kg",
    )
    notes.expect(
        line.first_use is not None and total.first == case.clock.second(line.first_use),
        f"{what}: first used {case.clock.say(total.first or 0)}, the plan says otherwise",
    )
    buying(case, line, total.moulded + total.startup + total.purge, notes)
