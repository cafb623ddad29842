"""A11: kilograms reconcile: used = moulded + start-up + purge - regrind; bought + stock >= used. Pieces likewise."""

from collections import Counter, defaultdict
from datetime import timedelta
from fractions import Fraction

from planner.audit import masses
from planner.audit.a03_there import drying_seconds, there
from planner.audit.case import Case
from planner.audit.figures import KG, exact, same, whole_up
from planner.audit.findings import Findings
from planner.audit.masses import Material
from planner.plan.document import Material as MaterialLine
from planner.plan.document import PieceNeed, RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A11 for every resin and masterbatch, and for every bought-in piece."""
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
    notes.expect(
        same(case.plan.purge_kg, purged, KG), f"purges add up to {purged:.3f} kg, not {case.plan.purge_kg:g} kg"
    )
    _pieces(case, notes)
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
        ):
            for material, kg in masses.of_materials(case.campaign, work, per_barrel).items():
                total = totals.setdefault(material, Total())
                setattr(total, field, getattr(total, field) + kg)
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
    arriving = sum(arrival.amount for arrival in entry.arrivals)
    used = line.moulded_kg + line.startup_kg + line.purge_kg - line.regrind_kg
    for name, told, ours in (
        ("moulded", line.moulded_kg, total.moulded),
        ("start-up", line.startup_kg, total.startup),
        ("purge", line.purge_kg, total.purge),
        ("used", line.used_kg, used),
        ("in stock", line.stock_kg, entry.stock_kg),
        ("arriving", line.arriving_kg, arriving),
        ("left over", line.left_over_kg, entry.stock_kg + arriving + line.bought_kg - used),
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
    _buying(case, line, used, notes)


def _buying(case: Case, line: MaterialLine, used: float, notes: Findings) -> None:
    """Enough, in whole bags, at least the smallest order, no bag too many, and ordered in time."""
    what, material = f"{line.kind} `{line.id}`", (line.kind, line.id)
    entry = masses.bought(case.campaign, material)
    short, with_restarts, when = _shortest(case, material)
    need = max(used - entry.stock_kg - sum(arrival.amount for arrival in entry.arrivals), short)
    least = smallest_order(need - 4 * KG, entry.bag_kg, entry.min_order_kg)
    most = smallest_order(max(need, with_restarts) + 4 * KG, entry.bag_kg, entry.min_order_kg)
    notes.expect(
        least - KG <= line.bought_kg <= most + KG,
        f"{what}: {max(0.0, need):.2f} kg are missing, so {most:g} kg in bags of {entry.bag_kg:g} kg are to be bought, "
        f"the plan buys {line.bought_kg:g} kg",
    )
    notes.expect(line.bought_kg <= 0 or entry.lead_days is not None, f"{what}: no more can be bought")
    notes.expect((line.order_by is None) == (line.bought_kg <= 0), f"{what}: an order-by date goes with what is bought")
    if line.order_by is not None and entry.lead_days is not None:
        if when is not None:
            latest = case.clock.day(when - drying_seconds(entry)) - timedelta(days=entry.lead_days)
            notes.expect(
                line.order_by <= latest,
                f"{what}: must be ordered by {latest} to be there and dry in time, the plan says {line.order_by}",
            )
        notes.expect(
            line.order_by >= case.campaign.start.date(),
            f"{what}: is to be ordered {line.order_by}, before the campaign",
        )


def smallest_order(need: float, bag: float, least: float) -> float:
    """The smallest amount that can be bought and covers the need; 0 for none."""
    if need <= 0:
        return 0.0
    bags = whole_up(max(exact(need), exact(least)) / exact(bag))
    return float(bags * exact(bag))


def _shortest(case: Case, material: Material) -> tuple[float, float, int | None]:
    """Most kg that stock and arrivals fall short at the start of any run, without regrind.

    Returns it without and with that run's own restarts, and the first moment at which they fall short.
    """
    taken, worst, with_restarts, when = 0.0, 0.0, 0.0, None
    for work in case.works:
        wanted = taken + masses.of_materials(case.campaign, work, masses.taken_by(work)).get(material, 0.0)
        after = wanted + masses.of_materials(case.campaign, work, masses.restart_kg(work)).get(material, 0.0)
        if wanted > taken:
            here = there(case, material, work.begin)[0]
            worst, with_restarts = max(worst, wanted - here), max(with_restarts, after - here)
            if wanted - here > KG and when is None:
                when = work.begin
        taken = after
    return worst, with_restarts, when


def _pieces(case: Case, notes: Findings) -> None:
    used: Counter[str] = Counter()
    for job in case.plan.assembly:
        product = case.campaign.products.get(job.product)
        for piece, count in product.pieces.items() if product else ():
            used[piece] += count * job.units
    for batch in case.plan.batches:
        for piece, count in batch.pieces.items():
            used[piece] += count * batch.parcels
    lines = Counter(line.id for line in case.plan.pieces)
    for name in sorted(set(used) | set(lines)):
        notes.expect(
            lines[name] == 1 or (not lines[name] and not used[name]),
            f"piece `{name}` must stand once among the bought-in pieces, not {lines[name]} times",
        )
    for line in case.plan.pieces:
        _piece(case, line, used[line.id], notes)


def _piece(case: Case, line: PieceNeed, used: int, notes: Findings) -> None:
    piece = case.campaign.pieces.get(line.id)
    if piece is None:
        notes.fault(f"the campaign has no bought-in piece `{line.id}`")
        return
    arriving = sum(int(arrival.amount) for arrival in piece.arrivals)
    for name, told, ours in (
        ("used", line.used, used),
        ("in stock", line.stock, piece.stock),
        ("arriving", line.arriving, arriving),
        ("left over", line.left_over, piece.stock + arriving + line.bought - used),
    ):
        notes.expect(told == ours, f"piece `{line.id}`: {name} {ours}, the plan says {told}")
    notes.expect(line.price == piece.price, f"piece `{line.id}`: costs {piece.price:g}, not {line.price:g}")
    notes.expect(
        line.bought % piece.pack_of == 0 and (not line.bought or line.bought >= piece.min_order),
        f"piece `{line.id}`: {line.bought} cannot be bought in packs of {piece.pack_of}, at least {piece.min_order}",
    )
    notes.expect(
        piece.stock + arriving + line.bought >= used,
        f"piece `{line.id}`: {used} are used, stock, arrivals and {line.bought} bought do not cover that",
    )
    notes.expect(
        (line.order_by is None) == (line.bought <= 0) and (line.bought <= 0 or piece.lead_days is not None),
        f"piece `{line.id}`: an order-by date goes with what is bought",
    )
