"""Every list of a run plan as headings and rows, in the order in which the work is done; and the dispatch manifest.

A list is a table of columns: what stands over the column, and where its value comes from.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextvars import copy_context
from datetime import datetime, timedelta
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from api.exports.values import Calculated, Form, Value
from api.exports.weekly import payments
from api.languages import gettext
from api.languages.run_words import named_run, nth_run, said_of
from api.languages.wording import counted, country
from planner.campaign import Campaign
from planner.dispatch.countries import NAMES
from planner.plan.document import RunPlan
from planner.plan.packers_walk import walked
from planner.plan.run_names import RunNames

List = tuple[Sequence[str], Iterable[Sequence[Value]]]


class Column(NamedTuple):
    """What stands over a column, where its value comes from, how a workbook writes it, whether it is added up.

    ours: its texts are the planner's and not names somebody typed, so they are told in the reader's language.
    """

    heading: str
    value: Callable[[Any], Value]
    form: Form = ""
    total: bool = False
    ours: bool = False


Columns = tuple[Column, ...]


class Sheet(NamedTuple):
    """One list: its name, the things it has rows of, and its columns."""

    name: str
    things: Callable[[Campaign, RunPlan], Iterable[object]]
    columns: Columns


def plan_lists(campaign: Campaign, plan: RunPlan) -> dict[str, List]:
    """List name -> headings and rows. The names serve as titles of sheets and names of CSV files.

    Headings are in English, as programs know them; `shown_headings` has them for people. Texts of ours are in the
    language of whoever reads now. Moments are on the wall clock of the campaign's zone. Rows come lazily, for that
    reader wherever they are walked: walk each list once.
    """
    zone = ZoneInfo(plan.time_zone)
    called = RunNames(plan.runs)
    return {
        name: _list(columns, things(campaign, plan), zone, called, plan.currency) for name, things, columns in _LISTS
    }


def _list(columns: Columns, things: Iterable[object], zone: ZoneInfo, called: RunNames, currency: str) -> List:
    headings = [column.heading.format(money=currency) for column in columns]
    reader = copy_context()

    def row(thing: object) -> list[Value]:
        return [_as_read(column.value(thing), column.ours, zone, called, currency) for column in columns]

    return headings, (reader.run(row, thing) for thing in things)


def shown_headings(name: str, currency: str) -> list[str]:
    """A list's headings in the reader's language."""
    columns = next(columns for one, _, columns in _LISTS if one == name)
    return [gettext(column.heading).format(money=currency) for column in columns]


def _as_read(value: Value, ours: bool, zone: ZoneInfo, called: RunNames, currency: str) -> Value:
    """A moment on the wall clock, runs by their names, the currency in a formula, our texts as they are read."""
    if isinstance(value, datetime):
        return value.astimezone(zone)
    if isinstance(value, Calculated):
        return Calculated(value.formula.format(money=currency), value.value)
    if not isinstance(value, str):
        return value
    return said_of(value, called) if ours else called.with_names(value, named_run, nth_run)


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


def _packing(campaign: Campaign, plan: RunPlan) -> Iterator[object]:
    """One row for each order line, as a packer goes through them."""
    return walked(campaign, plan)


def _piece_orders(campaign: Campaign, plan: RunPlan) -> Iterator[object]:
    """Lots in which what is bought comes, and what is ordered from other suppliers on the first day."""
    for line in plan.pieces:
        yield from ((line.id, "", lot.pieces, lot.on, line.price) for lot in line.lots)
    begins = plan.start.date()
    for name, piece in campaign.pieces.items():
        for other in piece.also_from:
            yield name, other.supplier, other.pieces, begins + timedelta(days=other.lead_days), other.price


def _costs(_: Campaign, plan: RunPlan) -> Iterator[object]:
    yield from ((line.what, line.amount) for line in plan.costs)
    yield "total", Calculated("SUM([Amount {money}]^)", plan.outcome.total)
    yield "best possible cost", plan.outcome.lower_bound


def _campaigns_take(_: Campaign, plan: RunPlan) -> Iterator[object]:
    """What each of several campaigns takes: materials, then bought-in pieces."""
    for one in plan.campaigns:
        yield from ((one.campaign, line.kind, line.id, line.kg, None) for line in one.materials)
        yield from ((one.campaign, "piece", piece, None, number) for piece, number in one.pieces.items())


def _other_choice(tier: Any) -> Value:
    return tier.split.other.cost_change if tier.split and tier.split.other else None


def _left_over_kg(material: Any) -> Value:
    return Calculated("[Left over kg]*[Price a kg {money}]", material.left_over_kg * material.price_per_kg)


def _left_over(piece: Any) -> Value:
    return Calculated("[Left over]*[Price {money}]", piece.left_over * piece.price)


_TIERS: Columns = (
    Column("Tier", lambda t: t.tier),
    Column("Parcels", lambda t: t.parcels, "count", total=True),
    Column("Promised", lambda t: t.promised),
    Column("Promised to", lambda t: t.promised_to, ours=True),
    Column("First dispatch", lambda t: t.first_dispatch),
    Column("Last dispatch", lambda t: t.last_dispatch),
    Column("At the last door", lambda t: t.at_the_door),
    Column("Late parcels", lambda t: t.late_parcels, "count", total=True),
    Column("Days late", lambda t: t.days_late, "count"),
    Column("Shipped", lambda t: t.split.ship if t.split else None, ours=True),
    Column("First parts gone", lambda t: t.split.first_parts if t.split else None),
    Column("Last parts gone", lambda t: t.split.last_parts if t.split else None),
    Column("Extra parcels", lambda t: t.split.extra_parcels if t.split else None, "count", total=True),
    Column("Extra postage {money}", lambda t: t.split.extra_postage if t.split else None, "amount", total=True),
    Column(
        "Other choice costs {money} more",
        lambda t: t.split.other.cost_change if t.split and t.split.other else None,
        "amount",
    ),
)
_REGIONS: Columns = (
    Column("Tier", lambda tr: tr[0].tier),
    Column("Region", lambda tr: tr[1].region),
    Column("Parcels", lambda tr: tr[1].parcels, "count", total=True),
    Column("Promised", lambda tr: tr[1].promised),
    Column("Promised to", lambda tr: tr[0].promised_to, ours=True),
    Column("Last dispatch", lambda tr: tr[1].last_dispatch),
    Column("At the last door", lambda tr: tr[1].at_the_door),
    Column("Late parcels", lambda tr: tr[1].late_parcels, "count", total=True),
    Column("Days late", lambda tr: tr[1].days_late, "count"),
)
_RUNS: Columns = (
    Column("Run", lambda r: r.id),
    Column("Press", lambda r: r.press),
    Column("Tool", lambda r: r.tool),
    Column("Melts", lambda r: ", ".join(r.melts)),
    Column("Shots", lambda r: r.shots, "count", total=True),
    Column("Seconds a shot", lambda r: r.shot_seconds, "amount"),
    Column("Start", lambda r: r.start),
    Column("End", lambda r: r.end),
    Column("Good parts", lambda r: ", ".join(f"{p.good} {p.part} {'/'.join(p.colours)}" for p in r.parts), "long"),
    Column("Waits for", lambda r: r.waits_for, "long", ours=True),
    Column("People who stay", lambda r: r.operators, "count"),
    Column("Cost {money}", lambda r: r.cost, "amount", total=True),
)
_CHANGEOVERS: Columns = (
    Column("Before run", lambda rc: rc[0].id),
    Column("Press", lambda rc: rc[0].press),
    Column("Start", lambda rc: rc[1].start),
    Column("End", lambda rc: rc[1].end),
    Column("Setter", lambda rc: rc[1].setter),
    Column("Tool out", lambda rc: rc[1].from_tool),
    Column("Tool in", lambda rc: rc[0].tool),
    Column("Warm-up min", lambda rc: rc[1].warm_up_seconds / 60, "amount"),
    Column("Mount min", lambda rc: rc[1].mount_seconds / 60, "amount"),
    Column("Purge kg", lambda rc: sum(purge.kg for purge in rc[1].purges), "amount", total=True),
    Column("Purge shots through the tool", lambda rc: sum(purge.shots for purge in rc[1].purges), "count", total=True),
    Column("Start-up shots", lambda rc: rc[1].startup_shots, "count", total=True),
    Column("Compound kg", lambda rc: sum(purge.compound_kg for purge in rc[1].purges), "amount", total=True),
)
_PURGES: Columns = (
    Column("Before run", lambda rp: rp[0].id),
    Column("Press", lambda rp: rp[0].press),
    Column("Where", lambda rp: rp[1].where, ours=True),
    Column("Barrel", lambda rp: rp[1].barrel),
    Column("From", lambda rp: rp[1].from_),
    Column("To", lambda rp: rp[1].to),
    Column("kg", lambda rp: rp[1].kg, "amount", total=True),
    Column("kg low (P10)", _of_purge("kg_p10"), "amount"),
    Column("kg high (P90)", _of_purge("kg_p90"), "amount"),
    Column("Shots", _of_purge("shots"), "count", total=True),
    Column("Minutes", _minutes_of_purge, "amount", total=True),
    Column("Basis", _of_purge("basis"), ours=True),
    Column("Cost {money}", lambda rp: rp[1].cost, "amount", total=True),
    Column("Way", _of_purge("way"), ours=True),
    Column("Compound kg", _of_purge("compound_kg"), "amount", total=True),
    Column("Rinse kg", _of_purge("rinse_kg"), "amount", total=True),
    Column("Soak min", _soak_minutes, "amount"),
    Column("When", lambda rp: rp[2], ours=True),
    Column("Bridge", _of_purge("bridge")),
    Column("Bridge kg", _of_purge("bridge_kg"), "amount", total=True),
)
_PARTS: Columns = (
    Column("Part", lambda b: b.part),
    Column("Colours", lambda b: ", ".join(b.colours)),
    Column("Ordered", lambda b: b.ordered, "count", total=True),
    Column("Spares", lambda b: b.spares, "count", total=True),
    Column("In stock", lambda b: b.stock, "count", total=True),
    Column("To mould", lambda b: b.to_mould, "count", total=True),
    Column("For tests", lambda b: b.tests, "count", total=True),
    Column("Shots", lambda b: b.shots, "count", total=True),
    Column("Cavities", lambda b: None if b.made_with else b.cavities, "count"),
    Column("Scrap share", lambda b: b.scrap_share, "share"),
    Column("Expected good", lambda b: b.expected, "amount"),
    Column("Expected surplus", lambda b: b.surplus, "amount"),
    Column("Chance of enough", lambda b: b.confidence, "share"),
    Column("Made with", lambda b: ", ".join(f"{one.tool}: {counted(one.shots, 'shot')}" for one in b.made_with)),
)
_MATERIAL: Columns = (
    Column("Kind", lambda m: m.kind, ours=True),
    Column("Material", lambda m: m.id),
    Column("Moulded kg", lambda m: m.moulded_kg, "amount"),
    Column("Start-up kg", lambda m: m.startup_kg, "amount"),
    Column("Purge kg", lambda m: m.purge_kg, "amount"),
    Column("Regrind kg", lambda m: m.regrind_kg, "amount"),
    Column("Used kg", lambda m: m.used_kg, "amount"),
    Column("In stock kg", lambda m: m.stock_kg, "amount"),
    Column("For trials kg", lambda m: m.trials_kg, "amount"),
    Column("Arriving kg", lambda m: m.arriving_kg, "amount"),
    Column("To buy kg", lambda m: m.bought_kg, "amount"),
    Column("Left over kg", lambda m: m.left_over_kg, "amount"),
    Column("Price a kg {money}", lambda m: m.price_per_kg, "amount"),
    Column(
        "To buy {money}",
        lambda m: Calculated("[To buy kg]*[Price a kg {money}]", m.bought_kg * m.price_per_kg),
        "amount",
        total=True,
    ),
    Column(
        "Left over {money}",
        _left_over_kg,
        "amount",
        total=True,
    ),
    Column("Order by", lambda m: m.order_by),
    Column("First use", lambda m: m.first_use),
    Column("If late", lambda m: m.if_late, "long", ours=True),
)
_PIECES: Columns = (
    Column("Piece", lambda p: p.id),
    Column("Used", lambda p: p.used, "count"),
    Column("In stock", lambda p: p.stock, "count"),
    Column("Arriving", lambda p: p.arriving, "count"),
    Column("To buy", lambda p: p.bought, "count"),
    Column("Left over", lambda p: p.left_over, "count"),
    Column("Price {money}", lambda p: p.price, "amount"),
    Column(
        "Left over {money}",
        _left_over,
        "amount",
        total=True,
    ),
    Column("Order by", lambda p: p.order_by),
    Column("First use", lambda p: p.first_use),
    Column("If late", lambda p: p.if_late, "long", ours=True),
)
_PIECE_ORDERS: Columns = (
    Column("Piece", lambda o: o[0]),
    Column("From", lambda o: o[1]),
    Column("Pieces", lambda o: o[2], "count"),
    Column("Comes", lambda o: o[3]),
    Column("Price {money}", lambda o: o[4], "amount"),
)
_WISHES: Columns = (
    Column("Wish", lambda w: w.wish + 1, "count"),
    Column("What", lambda w: w.words, "long", ours=True),
    Column("Kept", lambda w: "yes" if w.kept else "no", ours=True),
    Column("Rule", lambda w: w.rule, ours=True),
    Column("Why not", lambda w: w.because, "long", ours=True),
    Column("Costs {money} more", lambda w: w.costs, "amount"),
    Column("On average {money}", lambda w: w.costs_on_average, "amount"),
)
_ASSEMBLY: Columns = (
    Column("Job", lambda a: a.id),
    Column("For batch", lambda a: a.batch),
    Column("Product", lambda a: a.product),
    Column("Colourway", lambda a: a.colourway),
    Column("Units", lambda a: a.units, "count", total=True),
    Column("Start", lambda a: a.start),
    Column("End", lambda a: a.end),
    Column("Person minutes", lambda a: a.person_minutes, "amount", total=True),
    Column("Of them inspection", lambda a: a.inspection_minutes, "amount", total=True),
)
_FINISHING: Columns = (
    Column("Job", lambda f: f.id),
    Column("Bench", lambda f: f.bench),
    Column("For", lambda f: f.assembly),
    Column("Parts", lambda f: "; ".join(f"{p.good} {p.part} {'/'.join(p.colours)}" for p in f.parts), "long"),
    Column("What", lambda f: "; ".join(dict.fromkeys(what for p in f.parts for what in p.what)), "long"),
    Column("Put together", lambda f: "; ".join(f"{p.units} {p.what}" for p in f.puts), "long"),
    Column("In colour", lambda f: ", ".join(dict.fromkeys(p.colour for p in f.parts if p.colour))),
    Column("Start", lambda f: f.start),
    Column("End", lambda f: f.end),
    Column("Rested", lambda f: f.rested),
    Column("Person minutes", lambda f: f.person_minutes, "amount", total=True),
)
_LOTS: Columns = (
    Column("Lot", lambda v: v[0].id),
    Column("Part", lambda v: v[0].part),
    Column("Colours", lambda v: ", ".join(v[0].colours)),
    Column("Firm or place", lambda v: v[1].firm),
    Column("What", lambda v: "; ".join(v[1].what)),
    Column("Parts that go", lambda v: v[1].parts, "count", total=True),
    Column("Good in the end", lambda v: v[0].good, "count"),
    Column("In colours", lambda v: ", ".join(f"{n} {colour}" for colour, n in v[0].in_colours.items())),
    Column("Leaves", lambda v: v[1].leaves),
    Column("Back", lambda v: v[1].back),
    Column("Price {money}", lambda v: v[1].price, "amount", total=True),
)
_CARRIED: Columns = (
    Column("What", lambda v: v[0].of),
    Column("For", lambda v: v[0].to),
    Column("Units", lambda v: v[0].units, "count"),
    Column("Firm or place", lambda v: v[1].firm),
    Column("Way", lambda v: "; ".join(v[1].what), ours=True),
    Column("Leaves", lambda v: v[1].leaves),
    Column("Arrives", lambda v: v[1].back),
    Column("Price {money}", lambda v: v[1].price, "amount", total=True),
)
_DRYING: Columns = (
    Column("Dryer", lambda load: load.dryer),
    Column("Resin", lambda load: load.resin),
    Column("kg", lambda load: load.kg, "amount", total=True),
    Column("Of them filled in at first, kg", lambda load: load.kg if load.fill_kg is None else load.fill_kg, "amount"),
    Column("Degrees C", lambda load: load.degrees_c, "count"),
    Column("Clean from", lambda load: load.cleaned_from),
    Column("Load at", lambda load: load.load_at),
    Column("Dry at", lambda load: load.dry_at),
    Column("Used from", lambda load: load.used_from),
    Column("Used until", lambda load: load.used_until),
    Column("Runs", lambda load: ", ".join(load.runs), "long"),
)
_TOOLS_AT: Columns = (
    Column("Tool", lambda t: t.tool),
    Column("Place", lambda t: t.place or ""),
    Column("To be there by", lambda t: t.by),
)
_STEPS: Columns = (
    Column("Tool", lambda s: s.tool),
    Column("Step", lambda s: s.what, ours=True),
    Column("Who", lambda s: s.by),
    Column("Begins", lambda s: s.begin),
    Column("Ends", lambda s: s.end),
    Column("Done", lambda s: "yes" if s.done else "no", ours=True),
    Column("Waits for", lambda s: s.waits_for, ours=True),
    Column("Decides the tool's day", lambda s: "yes" if s.decides else "no", ours=True),
)
_INSPECTION: Columns = (
    Column("Run", lambda i: i[0].run),
    Column("Part", lambda i: i[0].part),
    Column("Colours", lambda i: ", ".join(i[0].colours)),
    Column("Pieces in the lot", lambda i: i[0].lot, "count"),
    Column("Defect", lambda i: i[1].defect),
    Column("Inspection", lambda i: i[0].severity, ours=True),
    Column("Level", lambda i: i[1].level),
    Column("AQL %", lambda i: i[1].aql),
    Column("Letter", lambda i: i[1].letter),
    Column("Draw", lambda i: i[1].n),
    Column("Accept up to", lambda i: i[1].accept),
    Column("Reject from", lambda i: i[1].reject),
    Column("Every piece", lambda i: i[1].every_piece),
    Column("Bad % accepted 95 in 100", lambda i: 100 * i[2].producer if i[2] else None, "amount"),
    Column("Bad % accepted 10 in 100", lambda i: 100 * i[2].consumer if i[2] else None, "amount"),
    Column("First-off pieces", lambda i: i[0].first_off),
    Column("Last-off pieces", lambda i: i[0].last_off),
    Column("Minutes for the run", lambda i: i[0].minutes if i[1] is i[0].samples[0] else None, "amount", total=True),
    Column("Why", lambda i: i[1].why, "long", ours=True),
)
_PACK_OUT: Columns = (
    Column("Batch", lambda b: b.id),
    Column("Tier", lambda b: b.tier),
    Column("Region", lambda b: b.region),
    Column("Part of the order", lambda b: gettext("%(part)s of %(parts)s") % {"part": b.part, "parts": b.parts}),
    Column("Units in each", lambda b: _units(b.contents), "long"),
    Column("Pieces in each", lambda b: _pieces(b.pieces), "long"),
    Column("Parcels", lambda b: b.parcels, "count", total=True),
    Column("Start", lambda b: b.start),
    Column("End", lambda b: b.end),
    Column("Person minutes", lambda b: b.person_minutes, "amount", total=True),
    Column("Dispatch", lambda b: b.dispatch),
    Column("Carrier", lambda b: b.carrier),
    Column("Hand over by", lambda b: b.hand_over_by),
    Column("Carton", lambda b: b.box.carton if b.box else None),
    Column("Gross kg", lambda b: b.box.gross_kg if b.box else None, "amount"),
    Column("Volumetric kg", lambda b: b.box.volumetric_kg if b.box else None, "amount"),
    Column("Charged kg", lambda b: b.box.charged_kg if b.box else None, "amount"),
    Column("Pallets", lambda b: b.pallets.pallets if b.pallets else None, "count", total=True),
    Column("On a pallet", lambda b: b.pallets.per_pallet if b.pallets else None, "count"),
)
_CUSTOMS: Columns = (
    Column("Country", lambda c: c.country),
    Column("Country name", lambda c: country(c.country, c.name)),
    Column("Parcels", lambda c: c.parcels, "count", total=True),
    Column("Value {money}", lambda c: c.value, "amount", total=True),
    Column("Dearest parcel {money}", lambda c: c.dearest, "amount"),
    Column("Gross kg", lambda c: c.gross_kg, "amount", total=True),
    Column("Heaviest parcel kg", lambda c: c.heaviest_kg, "amount"),
    Column("Customs border", lambda c: c.border, ours=True),
    Column("Postal forms", lambda c: ", ".join(f"{n} {form}" for form, n in c.forms.items())),
    Column("Missing", lambda c: ", ".join(c.missing), "long", ours=True),
    Column("Mind", lambda c: c.note, "long", ours=True),
)
_DISPATCHES: Columns = (
    Column("Dispatch", lambda d: d.id),
    Column("Pick-up", lambda d: d.at),
    Column("Carrier", lambda d: d.carrier),
    Column("Parcels", lambda d: d.parcels, "count", total=True),
    Column("Batches", lambda d: ", ".join(d.batches), "long"),
)
_MANIFEST: Columns = (
    Column("Dispatch", lambda m: m[0].id),
    Column("Pick-up", lambda m: m[0].at),
    Column("Carrier", lambda m: m[0].carrier),
    Column("Batch", lambda m: m[1].id),
    Column("Order", lambda m: m[2].ref),
    Column("Tier", lambda m: m[1].tier),
    Column("Part of the order", lambda m: gettext("%(part)s of %(parts)s") % {"part": m[1].part, "parts": m[1].parts}),
    Column("Units", lambda m: _units(m[1].contents), "long"),
    Column("Pieces", lambda m: _pieces(m[1].pieces), "long"),
    Column("Country", lambda m: m[2].country),
    Column("Country name", lambda m: country(m[2].country, NAMES.get(m[2].country, ""))),
    Column("Parcels", lambda m: m[3], "count", total=True),
    Column("Carton", lambda m: m[1].box.carton if m[1].box else None),
    Column("Gross kg each", lambda m: m[1].box.gross_kg if m[1].box else None, "amount"),
    Column("Charged kg each", lambda m: m[1].box.charged_kg if m[1].box else None, "amount"),
)
_PACKING: Columns = (
    Column("Packed from", lambda m: m.batch.start),
    Column("Batch", lambda m: m.batch.id),
    Column("Carton", lambda m: m.batch.box.carton if m.batch.box else None),
    Column("Take", lambda m: ", ".join(filter(None, (_units(m.batch.contents), _pieces(m.batch.pieces)))), "long"),
    Column("Order", lambda m: m.order.ref),
    Column("Country", lambda m: m.order.country),
    Column("Parcels", lambda m: m.count, "count", total=True),
    Column("Packed", lambda _: None),
)
_COST: Columns = (
    Column("What", lambda c: c[0], ours=True),
    Column("Amount {money}", lambda c: c[1], "amount"),
)
_CAMPAIGNS: Columns = (
    Column("Campaign", lambda c: c.campaign),
    Column("Tiers", lambda c: ", ".join(c.tiers), "long"),
    Column("Parcels", lambda c: c.parcels, "count", total=True),
    Column("First dispatch", lambda c: c.first_dispatch),
    Column("Last dispatch", lambda c: c.last_dispatch),
    Column("Late parcels", lambda c: c.late_parcels, "count", total=True),
    Column("Days late", lambda c: c.days_late, "count"),
    Column("Cost {money}", lambda c: c.total, "amount", total=True),
    Column("Of it shared {money}", lambda c: c.shared, "amount", total=True),
    Column("Could still save up to {money}", lambda c: c.could_save, "amount", total=True),
)
_CAMPAIGN_COSTS: Columns = (
    Column("Campaign", lambda c: c[0].campaign),
    Column("What", lambda c: c[1].what, ours=True),
    Column("Amount {money}", lambda c: c[1].amount, "amount", total=True),
    Column("Of it shared {money}", lambda c: c[1].shared, "amount", total=True),
)
_CAMPAIGN_TAKES: Columns = (
    Column("Campaign", lambda c: c[0]),
    Column("Kind", lambda c: c[1], ours=True),
    Column("What", lambda c: c[2]),
    Column("kg", lambda c: c[3], "amount", total=True),
    Column("Pieces", lambda c: c[4], "amount", total=True),
)
_CASH: Columns = (
    Column("Pay by", lambda c: c.on),
    Column("What", lambda c: c.what, ours=True),
    Column("For", lambda c: c.of, ours=True),
    Column("Amount {money}", lambda c: c.amount, "amount", total=True),
)
_CAUTIONS: Columns = (
    Column("About", lambda c: c.about, ours=True),
    Column("Mind", lambda c: c.text, "long", ours=True),
    Column("Source", lambda c: c.source, "long", ours=True),
)

_LISTS = (
    Sheet("Tiers", lambda _, plan: plan.tiers, _TIERS),
    Sheet("Regions", lambda _, plan: ((tier, line) for tier in plan.tiers for line in tier.regions), _REGIONS),
    Sheet("Tools at places", lambda _, plan: plan.tools_at, _TOOLS_AT),
    Sheet("Steps on tools", lambda _, plan: plan.tool_steps, _STEPS),
    Sheet("Runs", lambda _, plan: plan.runs, _RUNS),
    Sheet("Changeovers", _changeovers, _CHANGEOVERS),
    Sheet("Purges", _purges, _PURGES),
    Sheet("Inspection", _inspections, _INSPECTION),
    Sheet("Parts", lambda _, plan: plan.balance, _PARTS),
    Sheet("Material", lambda _, plan: plan.materials, _MATERIAL),
    Sheet("Pieces", lambda _, plan: plan.pieces, _PIECES),
    Sheet("Piece orders", _piece_orders, _PIECE_ORDERS),
    Sheet("Drying", lambda _, plan: plan.drying, _DRYING),
    Sheet("Before assembly", lambda _, plan: plan.finishing, _FINISHING),
    Sheet("Lots away", lambda _, plan: ((lot, visit) for lot in plan.finishing_lots for visit in lot.visits), _LOTS),
    Sheet("Between benches", lambda _, plan: ((lot, visit) for lot in plan.carried for visit in lot.visits), _CARRIED),
    Sheet("Assembly", lambda _, plan: plan.assembly, _ASSEMBLY),
    Sheet("Pack-out", lambda _, plan: plan.batches, _PACK_OUT),
    Sheet("Packing list", _packing, _PACKING),
    Sheet("Dispatches", lambda _, plan: plan.dispatches, _DISPATCHES),
    Sheet("Manifest", _manifest, _MANIFEST),
    Sheet("Customs", lambda _, plan: plan.customs, _CUSTOMS),
    Sheet("Cost", _costs, _COST),
    Sheet("Campaigns", lambda _, plan: plan.campaigns, _CAMPAIGNS),
    Sheet(
        "Cost by campaign",
        lambda _, plan: ((one, line) for one in plan.campaigns for line in one.costs),
        _CAMPAIGN_COSTS,
    ),
    Sheet("Material by campaign", _campaigns_take, _CAMPAIGN_TAKES),
    Sheet("Cash", lambda _, plan: payments(plan.cash), _CASH),
    Sheet("Wishes", lambda _, plan: plan.wishes, _WISHES),
    Sheet("Cautions", lambda _, plan: plan.cautions, _CAUTIONS),
)

LIST_NAMES = tuple(name for name, _, _ in _LISTS)
"""The lists there are, in the order of the sheets."""

FORMS: dict[str, tuple[tuple[Form, ...], tuple[bool, ...]]] = {
    name: (tuple(column.form for column in columns), tuple(column.total for column in columns))
    for name, _, columns in _LISTS
}
"""Of each list: how a workbook writes each column, and which are added up."""
