"""Every list of a run plan as headings and rows, in the order in which the work is done; and the dispatch manifest.

A list is a table of columns: what stands over the column, and where its value comes from.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from api.exports.values import Value
from planner.campaign import Campaign
from planner.dispatch.countries import NAMES
from planner.plan.document import RunPlan
from planner.plan.run_names import RunNames

List = tuple[Sequence[str], Iterable[Sequence[Value]]]
Columns = tuple[tuple[str, Callable[[Any], Value]], ...]


def plan_lists(campaign: Campaign, plan: RunPlan) -> dict[str, List]:
    """List name -> headings and rows. The names serve as titles of sheets and names of CSV files.

    Moments are on the wall clock of the campaign's zone. Rows come lazily: walk each list once.
    """
    zone = ZoneInfo(plan.time_zone)
    called = RunNames(plan.runs)
    return {
        name: _list(columns, things(campaign, plan), zone, called, plan.currency) for name, things, columns in _LISTS
    }


def _list(columns: Columns, things: Iterable[object], zone: ZoneInfo, called: RunNames, currency: str) -> List:
    headings = [heading.format(money=currency) for heading, _ in columns]
    return headings, ([_as_read(value(thing), zone, called) for _, value in columns] for thing in things)


def _as_read(value: Value, zone: ZoneInfo, called: RunNames) -> Value:
    """A moment on the wall clock, runs by their names."""
    if isinstance(value, datetime):
        return value.astimezone(zone)
    return called.spoken(value) if isinstance(value, str) else value


def _units(contents: dict[str, dict[str, int]]) -> str:
    return ", ".join(f"{n} {p} {c}" for p, colourways in contents.items() for c, n in colourways.items())


def _pieces(pieces: dict[str, int]) -> str:
    return ", ".join(f"{n} {name}" for name, n in pieces.items())


def _changeovers(_: Campaign, plan: RunPlan) -> Iterator[object]:
    return ((run, run.changeover) for run in plan.runs if run.changeover is not None)


def _purges(_: Campaign, plan: RunPlan) -> Iterator[object]:
    """Purges of changeovers and restarts, and what is cleared before closings and before others take over, with when;
    minutes of a clearing stand at its first place."""
    for run in plan.runs:
        for purge in run.changeover.purges if run.changeover else []:
            yield run, purge, "in the changeover", purge.seconds
        for stretch in run.stretches:
            for purge in stretch.purges:
                yield run, purge, "in a restart", purge.seconds
            for n, one in enumerate(stretch.closing.cleared if stretch.closing else []):
                yield run, one, "before a closing", stretch.closing.seconds if stretch.closing and n == 0 else None


def _of_purge(field: str) -> Callable[[Any], Value]:
    """A field of a purge; empty where a clearing has none."""
    return lambda rp: getattr(rp[1], field, None)


def _minutes_of_purge(rp: Any) -> Value:
    return None if rp[3] is None else rp[3] / 60


def _soak_minutes(rp: Any) -> Value:
    return getattr(rp[1], "soak_seconds", 0) / 60


def _inspections(_: Campaign, plan: RunPlan) -> Iterator[object]:
    """One row for each kind of defect looked for in each run and part, with the curve of its sampling plan."""
    curves = {(curve.n, curve.accept): curve for curve in plan.curves}
    for found in plan.inspections:
        for sample in found.samples:
            yield found, sample, None if sample.every_piece else curves[sample.n, sample.accept]


def _manifest(campaign: Campaign, plan: RunPlan) -> Iterator[object]:
    """One row for each order line in each batch, by dispatch: what carrier and customs papers start from."""
    batches = {batch.id: batch for batch in plan.batches}
    for dispatch in plan.dispatches:
        for batch in (batches[name] for name in dispatch.batches):
            for part in batch.lines:
                yield dispatch, batch, campaign.orders[part.line], part.count


def _costs(_: Campaign, plan: RunPlan) -> Iterator[object]:
    yield from ((line.what, line.amount) for line in plan.costs)
    yield "total", plan.outcome.total
    yield "proven lower bound", plan.outcome.lower_bound


_TIERS: Columns = (
    ("Tier", lambda t: t.tier),
    ("Parcels", lambda t: t.parcels),
    ("Promised", lambda t: t.promised),
    ("Promised to", lambda t: t.promised_to),
    ("First dispatch", lambda t: t.first_dispatch),
    ("Last dispatch", lambda t: t.last_dispatch),
    ("At the last door", lambda t: t.at_the_door),
    ("Late parcels", lambda t: t.late_parcels),
    ("Days late", lambda t: t.days_late),
    ("Shipped", lambda t: t.split.ship if t.split else None),
    ("First parts gone", lambda t: t.split.first_parts if t.split else None),
    ("Last parts gone", lambda t: t.split.last_parts if t.split else None),
    ("Extra parcels", lambda t: t.split.extra_parcels if t.split else None),
    ("Extra postage {money}", lambda t: t.split.extra_postage if t.split else None),
    ("Other choice costs {money} more", lambda t: t.split.other.cost_change if t.split and t.split.other else None),
)
_REGIONS: Columns = (
    ("Tier", lambda tr: tr[0].tier),
    ("Region", lambda tr: tr[1].region),
    ("Parcels", lambda tr: tr[1].parcels),
    ("Promised", lambda tr: tr[1].promised),
    ("Promised to", lambda tr: tr[0].promised_to),
    ("Last dispatch", lambda tr: tr[1].last_dispatch),
    ("At the last door", lambda tr: tr[1].at_the_door),
    ("Late parcels", lambda tr: tr[1].late_parcels),
    ("Days late", lambda tr: tr[1].days_late),
)
_RUNS: Columns = (
    ("Run", lambda r: r.id),
    ("Press", lambda r: r.press),
    ("Tool", lambda r: r.tool),
    ("Melts", lambda r: ", ".join(r.melts)),
    ("Shots", lambda r: r.shots),
    ("Seconds a shot", lambda r: r.shot_seconds),
    ("Start", lambda r: r.start),
    ("End", lambda r: r.end),
    ("Good parts", lambda r: ", ".join(f"{p.good} {p.part} {'/'.join(p.colours)}" for p in r.parts)),
    ("Waits for", lambda r: r.waits_for),
    ("Cost {money}", lambda r: r.cost),
)
_CHANGEOVERS: Columns = (
    ("Before run", lambda rc: rc[0].id),
    ("Press", lambda rc: rc[0].press),
    ("Start", lambda rc: rc[1].start),
    ("End", lambda rc: rc[1].end),
    ("Setter", lambda rc: rc[1].setter),
    ("Tool out", lambda rc: rc[1].from_tool),
    ("Tool in", lambda rc: rc[0].tool),
    ("Warm-up min", lambda rc: rc[1].warm_up_seconds / 60),
    ("Mount min", lambda rc: rc[1].mount_seconds / 60),
    ("Purge kg", lambda rc: sum(purge.kg for purge in rc[1].purges)),
    ("Purge shots through the tool", lambda rc: sum(purge.shots for purge in rc[1].purges)),
    ("Start-up shots", lambda rc: rc[1].startup_shots),
    ("Compound kg", lambda rc: sum(purge.compound_kg for purge in rc[1].purges)),
)
_PURGES: Columns = (
    ("Before run", lambda rp: rp[0].id),
    ("Press", lambda rp: rp[0].press),
    ("Where", lambda rp: rp[1].where),
    ("Barrel", lambda rp: rp[1].barrel),
    ("From", lambda rp: rp[1].from_),
    ("To", lambda rp: rp[1].to),
    ("kg", lambda rp: rp[1].kg),
    ("kg low (P10)", _of_purge("kg_p10")),
    ("kg high (P90)", _of_purge("kg_p90")),
    ("Shots", _of_purge("shots")),
    ("Minutes", _minutes_of_purge),
    ("Basis", _of_purge("basis")),
    ("Cost {money}", lambda rp: rp[1].cost),
    ("Way", _of_purge("way")),
    ("Compound kg", _of_purge("compound_kg")),
    ("Rinse kg", _of_purge("rinse_kg")),
    ("Soak min", _soak_minutes),
    ("When", lambda rp: rp[2]),
    ("Bridge", _of_purge("bridge")),
    ("Bridge kg", _of_purge("bridge_kg")),
)
_PARTS: Columns = (
    ("Part", lambda b: b.part),
    ("Colours", lambda b: ", ".join(b.colours)),
    ("Ordered", lambda b: b.ordered),
    ("Spares", lambda b: b.spares),
    ("In stock", lambda b: b.stock),
    ("To mould", lambda b: b.to_mould),
    ("For tests", lambda b: b.tests),
    ("Shots", lambda b: b.shots),
    ("Cavities", lambda b: b.cavities),
    ("Scrap share", lambda b: b.scrap_share),
    ("Expected good", lambda b: b.expected),
    ("Expected surplus", lambda b: b.surplus),
    ("Chance of enough", lambda b: b.confidence),
)
_MATERIAL: Columns = (
    ("Kind", lambda m: m.kind),
    ("Material", lambda m: m.id),
    ("Moulded kg", lambda m: m.moulded_kg),
    ("Start-up kg", lambda m: m.startup_kg),
    ("Purge kg", lambda m: m.purge_kg),
    ("Regrind kg", lambda m: m.regrind_kg),
    ("Used kg", lambda m: m.used_kg),
    ("In stock kg", lambda m: m.stock_kg),
    ("Arriving kg", lambda m: m.arriving_kg),
    ("To buy kg", lambda m: m.bought_kg),
    ("Left over kg", lambda m: m.left_over_kg),
    ("Price a kg {money}", lambda m: m.price_per_kg),
    ("Left over {money}", lambda m: m.left_over_kg * m.price_per_kg),
    ("Order by", lambda m: m.order_by),
    ("First use", lambda m: m.first_use),
    ("If late", lambda m: m.if_late),
)
_PIECES: Columns = (
    ("Piece", lambda p: p.id),
    ("Used", lambda p: p.used),
    ("In stock", lambda p: p.stock),
    ("Arriving", lambda p: p.arriving),
    ("To buy", lambda p: p.bought),
    ("Left over", lambda p: p.left_over),
    ("Price {money}", lambda p: p.price),
    ("Left over {money}", lambda p: p.left_over * p.price),
    ("Order by", lambda p: p.order_by),
    ("First use", lambda p: p.first_use),
    ("If late", lambda p: p.if_late),
)
_ASSEMBLY: Columns = (
    ("Job", lambda a: a.id),
    ("For batch", lambda a: a.batch),
    ("Product", lambda a: a.product),
    ("Colourway", lambda a: a.colourway),
    ("Units", lambda a: a.units),
    ("Start", lambda a: a.start),
    ("End", lambda a: a.end),
    ("Person minutes", lambda a: a.person_minutes),
    ("Of them inspection", lambda a: a.inspection_minutes),
)
_FINISHING: Columns = (
    ("Job", lambda f: f.id),
    ("Bench", lambda f: f.bench),
    ("For", lambda f: f.assembly),
    ("Parts", lambda f: "; ".join(f"{p.good} {p.part} {'/'.join(p.colours)}" for p in f.parts)),
    ("What", lambda f: "; ".join(dict.fromkeys(what for p in f.parts for what in p.what))),
    ("In colour", lambda f: ", ".join(dict.fromkeys(p.colour for p in f.parts if p.colour))),
    ("Start", lambda f: f.start),
    ("End", lambda f: f.end),
    ("Rested", lambda f: f.rested),
    ("Person minutes", lambda f: f.person_minutes),
)
_LOTS: Columns = (
    ("Lot", lambda v: v[0].id),
    ("Part", lambda v: v[0].part),
    ("Colours", lambda v: ", ".join(v[0].colours)),
    ("Firm", lambda v: v[1].firm),
    ("What", lambda v: "; ".join(v[1].what)),
    ("Parts that go", lambda v: v[1].parts),
    ("Good in the end", lambda v: v[0].good),
    ("In colours", lambda v: ", ".join(f"{n} {colour}" for colour, n in v[0].in_colours.items())),
    ("Leaves", lambda v: v[1].leaves),
    ("Back", lambda v: v[1].back),
    ("Price {money}", lambda v: v[1].price),
)
_DRYING: Columns = (
    ("Dryer", lambda load: load.dryer),
    ("Resin", lambda load: load.resin),
    ("kg", lambda load: load.kg),
    ("Of them filled in at first, kg", lambda load: load.kg if load.fill_kg is None else load.fill_kg),
    ("Degrees C", lambda load: load.degrees_c),
    ("Clean from", lambda load: load.cleaned_from),
    ("Load at", lambda load: load.load_at),
    ("Dry at", lambda load: load.dry_at),
    ("Used from", lambda load: load.used_from),
    ("Used until", lambda load: load.used_until),
    ("Runs", lambda load: ", ".join(load.runs)),
)
_STEPS: Columns = (
    ("Tool", lambda s: s.tool),
    ("Step", lambda s: s.what),
    ("Who", lambda s: s.by),
    ("Begins", lambda s: s.begin),
    ("Ends", lambda s: s.end),
    ("Done", lambda s: "yes" if s.done else "no"),
    ("Waits for", lambda s: s.waits_for),
    ("Decides the tool's day", lambda s: "yes" if s.decides else "no"),
)
_INSPECTION: Columns = (
    ("Run", lambda i: i[0].run),
    ("Part", lambda i: i[0].part),
    ("Colours", lambda i: ", ".join(i[0].colours)),
    ("Pieces in the lot", lambda i: i[0].lot),
    ("Defect", lambda i: i[1].defect),
    ("Inspection", lambda i: i[0].severity),
    ("Level", lambda i: i[1].level),
    ("AQL %", lambda i: i[1].aql),
    ("Letter", lambda i: i[1].letter),
    ("Draw", lambda i: i[1].n),
    ("Accept up to", lambda i: i[1].accept),
    ("Reject from", lambda i: i[1].reject),
    ("Every piece", lambda i: i[1].every_piece),
    ("Bad % accepted 95 in 100", lambda i: 100 * i[2].producer if i[2] else None),
    ("Bad % accepted 10 in 100", lambda i: 100 * i[2].consumer if i[2] else None),
    ("First-off pieces", lambda i: i[0].first_off),
    ("Last-off pieces", lambda i: i[0].last_off),
    ("Minutes for the run", lambda i: i[0].minutes if i[1] is i[0].samples[0] else None),
    ("Why", lambda i: i[1].why),
)
_PACK_OUT: Columns = (
    ("Batch", lambda b: b.id),
    ("Tier", lambda b: b.tier),
    ("Region", lambda b: b.region),
    ("Part of the order", lambda b: f"{b.part} of {b.parts}"),
    ("Units in each", lambda b: _units(b.contents)),
    ("Pieces in each", lambda b: _pieces(b.pieces)),
    ("Parcels", lambda b: b.parcels),
    ("Start", lambda b: b.start),
    ("End", lambda b: b.end),
    ("Person minutes", lambda b: b.person_minutes),
    ("Dispatch", lambda b: b.dispatch),
    ("Carrier", lambda b: b.carrier),
    ("Hand over by", lambda b: b.hand_over_by),
    ("Carton", lambda b: b.box.carton if b.box else None),
    ("Gross kg", lambda b: b.box.gross_kg if b.box else None),
    ("Volumetric kg", lambda b: b.box.volumetric_kg if b.box else None),
    ("Charged kg", lambda b: b.box.charged_kg if b.box else None),
    ("Pallets", lambda b: b.pallets.pallets if b.pallets else None),
    ("On a pallet", lambda b: b.pallets.per_pallet if b.pallets else None),
)
_CUSTOMS: Columns = (
    ("Country", lambda c: c.country),
    ("Country name", lambda c: c.name),
    ("Parcels", lambda c: c.parcels),
    ("Value {money}", lambda c: c.value),
    ("Dearest parcel {money}", lambda c: c.dearest),
    ("Gross kg", lambda c: c.gross_kg),
    ("Heaviest parcel kg", lambda c: c.heaviest_kg),
    ("Customs border", lambda c: c.border),
    ("Postal forms", lambda c: ", ".join(f"{n} {form}" for form, n in c.forms.items())),
    ("Missing", lambda c: ", ".join(c.missing)),
    ("Mind", lambda c: c.note),
)
_DISPATCHES: Columns = (
    ("Dispatch", lambda d: d.id),
    ("Pick-up", lambda d: d.at),
    ("Carrier", lambda d: d.carrier),
    ("Parcels", lambda d: d.parcels),
    ("Batches", lambda d: ", ".join(d.batches)),
)
_MANIFEST: Columns = (
    ("Dispatch", lambda m: m[0].id),
    ("Pick-up", lambda m: m[0].at),
    ("Carrier", lambda m: m[0].carrier),
    ("Batch", lambda m: m[1].id),
    ("Order", lambda m: m[2].ref),
    ("Tier", lambda m: m[1].tier),
    ("Part of the order", lambda m: f"{m[1].part} of {m[1].parts}"),
    ("Units", lambda m: _units(m[1].contents)),
    ("Pieces", lambda m: _pieces(m[1].pieces)),
    ("Country", lambda m: m[2].country),
    ("Country name", lambda m: NAMES.get(m[2].country, "")),
    ("Parcels", lambda m: m[3]),
    ("Carton", lambda m: m[1].box.carton if m[1].box else None),
    ("Gross kg each", lambda m: m[1].box.gross_kg if m[1].box else None),
    ("Charged kg each", lambda m: m[1].box.charged_kg if m[1].box else None),
)
_COST: Columns = (("What", lambda c: c[0]), ("Amount {money}", lambda c: c[1]))
_CASH: Columns = (
    ("Pay by", lambda c: c.on),
    ("What", lambda c: c.what),
    ("For", lambda c: c.of),
    ("Amount {money}", lambda c: c.amount),
)
_CAUTIONS: Columns = (
    ("About", lambda c: c.about),
    ("Mind", lambda c: c.text),
    ("Source", lambda c: c.source),
)

_LISTS: tuple[tuple[str, Callable[[Campaign, RunPlan], Iterable[object]], Columns], ...] = (
    ("Tiers", lambda _, plan: plan.tiers, _TIERS),
    ("Regions", lambda _, plan: ((tier, line) for tier in plan.tiers for line in tier.regions), _REGIONS),
    ("Steps on tools", lambda _, plan: plan.tool_steps, _STEPS),
    ("Runs", lambda _, plan: plan.runs, _RUNS),
    ("Changeovers", _changeovers, _CHANGEOVERS),
    ("Purges", _purges, _PURGES),
    ("Inspection", _inspections, _INSPECTION),
    ("Parts", lambda _, plan: plan.balance, _PARTS),
    ("Material", lambda _, plan: plan.materials, _MATERIAL),
    ("Pieces", lambda _, plan: plan.pieces, _PIECES),
    ("Drying", lambda _, plan: plan.drying, _DRYING),
    ("Before assembly", lambda _, plan: plan.finishing, _FINISHING),
    ("Lots away", lambda _, plan: ((lot, visit) for lot in plan.finishing_lots for visit in lot.visits), _LOTS),
    ("Assembly", lambda _, plan: plan.assembly, _ASSEMBLY),
    ("Pack-out", lambda _, plan: plan.batches, _PACK_OUT),
    ("Dispatches", lambda _, plan: plan.dispatches, _DISPATCHES),
    ("Manifest", _manifest, _MANIFEST),
    ("Customs", lambda _, plan: plan.customs, _CUSTOMS),
    ("Cost", _costs, _COST),
    ("Cash", lambda _, plan: plan.cash, _CASH),
    ("Cautions", lambda _, plan: plan.cautions, _CAUTIONS),
)

LIST_NAMES = tuple(name for name, _, _ in _LISTS)
"""The lists there are, in the order of the sheets."""
