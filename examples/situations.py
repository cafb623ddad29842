"""Ordinary situations of a workshop, each a small campaign and a page of the documentation. Writes the pages anew:

python -m examples.situations
"""

import json
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from api import demo
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import Run, RunPlan
from planner.plan.finished import LotVisit
from planner.planning.make import make_plan
from planner.reading import read

FOLDER = demo.SITUATIONS
PAGES = Path(__file__).resolve().parents[1] / "docs" / "situations"
Lines = Callable[[RunPlan], Iterable[str]]


def campaign_of(name: str) -> Campaign:
    """The situation's campaign."""
    return read(json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8")))


def plan_of(name: str) -> RunPlan:
    """The plan of the situation: a budget of rounds, so the same every time."""
    return make_plan(campaign_of(name), Unhurried())


class Situation(NamedTuple):
    """title, words: what is going on. said: where the document says it. also: lines of the plan that show it."""

    title: str
    words: str
    said: str
    also: Lines = lambda plan: ()


def _at(moment: datetime) -> str:
    return f"{moment:%a} {moment.day} {moment:%b %H:%M}"


def _run(run: Run) -> str:
    colours = " + ".join(melt.split("/")[1] for melt in run.melts)
    change = run.changeover
    purges = sum(purge.kg for purge in change.purges) if change else 0.0
    set_up = f"set up from {_at(change.start)}" if change else "no set-up: it is in the press"
    purged = f", {purges:.2f} kg purged" if purges else ""
    return f"{run.tool} in {colours}: {run.shots:,} shots, {set_up}{purged}, moulded {_at(run.start)} to {_at(run.end)}"


def _branches(plan: RunPlan) -> Iterable[str]:
    told = plan.outcome.expected.branches if plan.outcome.expected else None
    if told is None:
        return
    yield f"{told.about}: known from {_at(told.known)} on"
    for branch in told.branches:
        begins = (f"{run.tool} in {run.melts[0].split('/')[1]} from {_at(run.begin)}" for run in branch.runs)
        leaves = "; ".join(
            f"{tier.tier} all gone by {tier.leaves:%a} {tier.leaves.day} {tier.leaves:%b}" for tier in branch.tiers
        )
        on_top = f", {branch.on_top:,.2f} {plan.currency} on top" if branch.on_top else ""
        recipes = f"; {', '.join([*branch.moves, *branch.recipes])}" if branch.recipes else ""
        yield f"if {branch.words} ({branch.chance:.0%}): {', '.join(begins)}; {leaves}{on_top}{recipes}"


def _tools_at(plan: RunPlan) -> Iterable[str]:
    for one in plan.tools_at:
        by = f", to be there by {_at(one.by)}" if one.by else ", makes nothing"
        yield f"tool {one.tool} goes to {one.place or 'our own floor'}{by}"


def _others(plan: RunPlan) -> Iterable[str]:
    for run in plan.runs:
        change = run.changeover
        if change is not None and change.after_others is not None:
            left = ", ".join(change.after_others.left)
            yield f"before {run.tool} from {_at(run.start)} others left {left}: mounted again, and purged"
        if run.others_from is not None:
            yield f"others take the press over at {_at(run.others_from)}, after {run.shots:,} shots of {run.tool}"


def _stretches(plan: RunPlan) -> Iterable[str]:
    for run in plan.runs:
        for stretch in run.stretches:
            hours = (stretch.end.timestamp() - stretch.start.timestamp()) / 3600
            spent = f"{hours:.2f} h, {stretch.shots:,} shots"
            yield f"{run.tool}: {_at(stretch.start)} to {_at(stretch.end)}, {spent}"


def _parts(plan: RunPlan) -> Iterable[str]:
    for line in plan.balance:
        yield (
            f"{line.part} in {'/'.join(line.colours)}: {line.ordered:,} ordered, {line.spares} spares, {line.stock} in "
            f"stock, {line.to_mould:,} to mould"
        )


def _moulded_over(plan: RunPlan) -> Iterable[str]:
    for run in plan.runs:
        for one in run.takes:
            yield f"{run.tool} takes {one.number} {one.id}{' in ' if one.colours else ''}{'/'.join(one.colours)}"


def _staying(plan: RunPlan) -> Iterable[str]:
    for run in plan.runs:
        if run.operators:
            yield f"{run.tool} on {run.press}: {run.operators} at the press; waited for {run.waits_for or 'its press'}"
        for stretch in run.stretches:
            yield f"{run.tool}: {stretch.shots} shots {_at(stretch.start)} to {_at(stretch.end)}"
    yield from (f"{line.what} {line.amount:,.2f}" for line in plan.costs if line.what == "operator hours")


def _made_with(plan: RunPlan) -> Iterable[str]:
    for line in plan.balance:
        for one in line.made_with:
            yield f"{line.part} in {'/'.join(line.colours)} with {one.tool}: {one.shots} shots, {one.counted_on} good"


def _materials(plan: RunPlan) -> Iterable[str]:
    for line in plan.materials:
        regrind = f", {line.regrind_kg:.2f} kg of it regrind" if line.regrind_kg else ""
        melted = line.used_kg + line.regrind_kg
        yield f"{line.kind} {line.id}: {melted:.2f} kg go in{regrind}, {line.bought_kg:g} kg bought"


def _pieces(plan: RunPlan) -> Iterable[str]:
    return (f"{line.id}: {line.used} used, {line.bought} bought" for line in plan.pieces)


def _piece_lots(plan: RunPlan) -> Iterable[str]:
    for line in plan.pieces:
        for lot in line.lots:
            yield f"{line.id} at {line.price:.2f}: {lot.pieces} come {lot.on:%a} {lot.on.day} {lot.on:%b}"
    yield from (f"{line.what} {line.amount:,.2f}" for line in plan.costs if line.what in _OF_PIECES)


_OF_PIECES = ("bought-in pieces", "unused minimum orders")


def _parcels(plan: RunPlan) -> Iterable[str]:
    for batch in sorted(plan.batches, key=lambda batch: batch.start):
        units = [f"{n} {product} {way}" for product, ways in batch.contents.items() for way, n in ways.items()]
        pieces = [f"{n} {piece}" for piece, n in batch.pieces.items()]
        each = " and ".join([*units, *pieces])
        yield f"{batch.parcels} of {batch.tier} packed from {_at(batch.start)}: {each} in each"


def _benches(plan: RunPlan) -> Iterable[str]:
    jobs = sorted(plan.assembly, key=lambda job: job.start)
    yield f"first assembly begins {_at(jobs[0].start)}"
    yield f"last parcel packed {_at(max(batch.end for batch in plan.batches))}"


def _before_assembly(plan: RunPlan) -> Iterable[str]:
    first = plan.finishing[0]
    done = max(job.end for job in plan.finishing)
    into = sum(part.goes_in for job in plan.finishing for part in job.parts)
    yield f"bench {first.bench}: {into:,.1f} parts from {_at(first.start)} to {_at(done)}"
    yield from _parts(plan)
    yield from _benches(plan)
    yield from (f"{line.what} {line.amount:,.2f}" for line in plan.costs if line.what.startswith("finishing"))


def _put_together(plan: RunPlan) -> Iterable[str]:
    for job in plan.finishing:
        for put in job.puts:
            yield f"{job.bench}: {put.units} x {put.what} from {_at(job.start)} to {_at(job.end)}, for {job.assembly}"
    for one in sorted(plan.assembly, key=lambda one: one.start):
        yield f"{one.id}: {one.units} {one.product} from {_at(one.start)}"
    yield from _parts(plan)
    yield from _pieces(plan)


def _brought(plan: RunPlan) -> Iterable[str]:
    for lot in plan.finishing_lots:
        for visit in lot.visits:
            what = f"{lot.id}: {visit.parts} {lot.part} in {'/'.join(lot.colours)}"
            yield f"{what} {_way(visit)}"
    yield from (f"{line.what} {line.amount:,.2f}" for line in plan.costs if line.what == "carriage")
    yield from _benches(plan)


def _way(visit: LotVisit) -> str:
    there = visit.what == ["taken there"]
    leave = f"leave for {visit.firm}" if there else f"leave {visit.firm}"
    return f"{leave} {_at(visit.leaves)}, {'there' if there else 'here'} {_at(visit.back)}; {visit.price:.2f}"


def _taken_there(plan: RunPlan) -> Iterable[str]:
    for lot in plan.carried:
        yield from (f"{lot.units} units of {lot.of} {_way(visit)}" for visit in lot.visits)
    yield from _brought(plan)


def _lots_away(plan: RunPlan) -> Iterable[str]:
    for lot in plan.finishing_lots:
        for visit in lot.visits:
            colours = " and ".join(f"{n} {colour}" for colour, n in lot.in_colours.items())
            yield (
                f"{lot.id}: {visit.parts} {lot.part} leave {_at(visit.leaves)} for {visit.firm}, back "
                f"{_at(visit.back)}, {lot.good} good: {colours}; {visit.price:.2f}"
            )
    yield from _benches(plan)


def _steps(plan: RunPlan) -> Iterable[str]:
    return (f"{step.what}: {_at(step.begin)} to {_at(step.end)}" for step in plan.tool_steps)


def _cash(plan: RunPlan) -> Iterable[str]:
    return (
        f"by {line.on:%a} {line.on.day} {line.on:%b}: {line.what}, {line.of}, {line.amount:.2f}" for line in plan.cash
    )


def _wishes(plan: RunPlan) -> Iterable[str]:
    for line in plan.wishes:
        became = f"kept, costs {line.costs:,.2f}" if line.kept else f"refused by {line.rule}: {line.because}"
        yield f"wish {line.wish + 1}, {line.words}: {became}"


def _costs(plan: RunPlan) -> Iterable[str]:
    return (f"{line.what} {line.amount:,.2f}" for line in plan.costs if line.amount)


def _apart(plan: RunPlan) -> Iterable[str]:
    for one in plan.campaigns:
        yield f"{one.campaign}: {one.parcels} parcels, {one.total:,.2f}, of it shared {one.shared:,.2f}"
        yield from (f"{one.campaign}: {m.kg:.2f} kg of {m.kind} {m.id}" for m in one.materials)
        yield from (f"{one.campaign}: {line.what} {line.amount:,.2f}" for line in one.costs)


def _doors(plan: RunPlan) -> Iterable[str]:
    for line in plan.tiers:
        yield f"tier {line.tier}: at the last door by {line.at_the_door:%a %d %b}"
    yield from (f"{line.what} {line.amount:,.2f}" for line in plan.costs if line.what == "postage")


def _leaving(plan: RunPlan) -> Iterable[str]:
    for sent in plan.dispatches:
        with_whom = f" with {sent.carrier}" if sent.carrier else ""
        yield f"{sent.parcels} parcels leave {_at(sent.at)}{with_whom}"
    for tier in plan.tiers:
        for line in tier.regions:
            door = f"{line.at_the_door:%a} {line.at_the_door.day} {line.at_the_door:%b}" if line.at_the_door else "?"
            yield f"{tier.tier} to {line.region}: promised {line.promised}, at the last door by {door}"
    yield from (f"{line.what} {line.amount:,.2f}" for line in plan.costs if line.what in ("postage", "pallets"))


SITUATIONS = {
    "blocked-cavity": Situation(
        "A cavity is blocked",
        "One of two cavities is shut off, so each shot gives one part and the runs take twice the shots.",
        "`tools.pot.blocked_cavities`",
        _parts,
    ),
    "two-shots-one-barrel-changes": Situation(
        "Two shots, and only one barrel changes",
        "Body and rim come from two barrels. The rim is charcoal in every colourway, so a change of the body's colour "
        "purges the first barrel alone.",
        "two `barrels` of the press and of the part",
    ),
    "neutral-part": Situation(
        "A neutral part for every colourway",
        "The insert inside is moulded without masterbatch and goes into every colourway: one run makes all of it.",
        "`resins.pp.natural_colour`, and the same colour in every colourway",
        _parts,
    ),
    "work-in-progress": Situation(
        "Work in progress",
        "250 cream pots are in hand, 100 of them assembled, and the tool stands in the press with cream in its barrel: "
        "the run under way goes first and needs no set-up.",
        "`parts.pot.stock`, `products.pot.assembled`, `presses.big.tool`, `holds` and `begins_with`",
        _parts,
    ),
    "spares": Situation(
        "Three per cent spares",
        "Three parts in a hundred are moulded beyond the orders and stay in stock.",
        "`parts.pot.spare_share`",
        _parts,
    ),
    "rest-before-assembly": Situation(
        "Parts rest before they are assembled",
        "Pots shrink for two days before a lid fits: assembly begins 48 hours after the shot.",
        "`parts.pot.rest_hours`",
        _benches,
    ),
    "early-birds-first": Situation(
        "Early birds first",
        "200 early birds in sage were promised for Monday. Light before dark would purge less, but sage goes first.",
        "`tiers.early-bird.promised`, `priority` and `late_cost_per_day`",
    ),
    "add-ons": Situation(
        "Add-ons",
        "120 supporters added a cream pot and two wicks to their order; it all travels in one parcel.",
        "`extra_units` and `extra_pieces` of an order line",
        lambda plan: [*_parts(plan), *_pieces(plan)],
    ),
    "saturday-volunteers": Situation(
        "Saturday volunteers and a holiday",
        "Friday is a holiday. On Saturday morning six people pack, on other days one does.",
        "`closed_days`, and `x6` behind the hours of `packing`",
        _benches,
    ),
    "clock-change": Situation(
        "The clocks go forward",
        "The press runs at night. In the night to Sunday 28 March the clocks go forward: from 22:00 to 06:00 are seven "
        "hours, and the plan counts what the clock on the wall does not show.",
        "`time_zone`; nothing else is needed",
        _stretches,
    ),
    "resin-in-two-lots": Situation(
        "Resin comes in two lots",
        "35 kg are there, 60 kg come a week later, and no more can be bought: the second colour waits for it.",
        "`resins.pp.stock_kg` and `arrivals`, without `lead_days`",
        _materials,
    ),
    "one-colour-in-two-resins": Situation(
        "One colour in two resins",
        "Pots are PP, feet are ABS, both cream or both sage. One masterbatch serves both here; a change of resin costs "
        "more than one of colour, so each resin's colours follow each other.",
        "the same colour for both parts of a colourway",
        _materials,
    ),
    "regrind": Situation(
        "Runners are ground and fed back",
        "12 g of runner a shot go back into the same melt, at most a fifth of it. Less new resin is used; "
        "masterbatch is dosed in full.",
        "`tools.pot.runner_g` and `resins.pp.regrind_share`",
        _materials,
    ),
    "rework": Situation(
        "The tool needs metal put on",
        "Measure, put metal on (7 to 10 working days of the toolmaker, likely 8), try again, approve: the steps give "
        "the day, and a promise draws their days.",
        "`tools.pot.until_ready` and `toolmakers`",
        _steps,
    ),
    "trial-on-our-press": Situation(
        "A tool is tried on our press",
        "The lid's tool is tried on Tuesday morning, on the press that moulds the pots: nothing else runs there "
        "meanwhile; afterwards it comes out, and the trial's sage is in the barrel. It works, or comes back 7 to 10 "
        "days later, once: the plan says what to do either way.",
        "`uncertainty.tools.lid.first_trial`: `on`, `press`, `hours`, `melts`, `most_failures`",
        _branches,
    ),
    "colour-approval": Situation(
        "A colour that may not be approved",
        "On Friday sage is approved, or another recipe takes its place: 3 in 100 at 14 a kg, a week later: "
        "the plan says what to do either way.",
        "`uncertainty.settled`: `on`, `outcomes` with `recipes`, `colours` and `cost`",
        _branches,
    ),
    "lights-out": Situation(
        "Lights out",
        "People are there from 6 to 14; the press then goes on alone for four hours at most, and restarts in the "
        "morning.",
        "`floor.attended` and `presses.big.lights_out`",
        _stretches,
    ),
    "several-carriers": Situation(
        "Several carriers",
        "Each parcel goes by the cheapest tariff that is for its country and takes its weight: at home single pots by "
        "post and three pots by courier, then the post abroad; one tariff serves the rest of the world.",
        "`carrier.rates`, and `regions` for `eu`",
        _doors,
    ),
    "carriers-with-their-own-days": Situation(
        "Carriers that pick up on days of their own",
        "Post goes anywhere, on Tuesdays and Fridays, up to 2 kg. A courier comes every working day, takes 40 parcels, "
        "and goes at home only. Each parcel goes with the cheaper of the two, and waits for its own carrier.",
        "`carriers`, each with `to`, `pick_ups`, limits and `rates`",
        _leaving,
    ),
    "house-abroad": Situation(
        "A house abroad that sends parcels on",
        "Parcels for the United States go by the pallet on two sailings to a house there: 24 to 31 days at sea, 2 to 6 "
        "at customs, then as local parcels. What is promised is the day at the door, another one there than elsewhere.",
        "`legs` and `pallets` of a carrier, `promised_to` and `promised_in` of the tiers",
        _leaving,
    ),
    "waves": Situation(
        "Early birds first, in waves",
        "No later order leaves before all early birds have left, though cream is moulded first and packed sooner.",
        "`wave` of the tiers",
        _leaving,
    ),
    "pad-printing": Situation(
        "Pots are pad printed",
        "A bench of one person prints each pot, half a minute and two cents of ink; one in a hundred is spoilt, and is "
        "moulded on top.",
        "`parts.pot.finishing` and `finishing_benches`",
        _before_assembly,
    ),
    "painting": Situation(
        "A painter elsewhere gives the colour",
        "Pots are moulded in white and painted in cream or sage by another firm. They travel in lots of 300, on "
        "Tuesdays and Thursdays; two in a hundred are spoilt.",
        "`parts.pot.finishing` with `gives_colour`, `finishing_firms`, and `products.pot.finished_in`",
        _lots_away,
    ),
    "moulder-elsewhere": Situation(
        "A moulder abroad makes the feet",
        "Feet are moulded two hours ahead of our clock and brought here in lots of 1,500, on Tuesdays and Thursdays, "
        "three days on the way. Tuesday 12 January is a holiday there. Both presses are set up at once, each by a "
        "setter of its own place.",
        "`places`, and `place` of a press",
        _brought,
    ),
    "tool-to-either-place": Situation(
        "A tool that may go to our press or to the moulder's",
        "Feet can be moulded on a small press of ours, at 60 an hour, or on one like it at a moulder abroad, at 28, "
        "who asks 45 for each lot that is brought. Both ways are planned: there it costs 74.67 less. The tool goes "
        "there for the whole plan.",
        "`presses` of the tool, which stand at two places; where it goes can be said in `planning.made_at`",
        lambda plan: [*_tools_at(plan), *_brought(plan)],
    ),
    "copies-at-two-places": Situation(
        "Two copies of a tool, here and at the moulder's at once",
        "Feet for 3,000 pots take one tool on our press until Friday at 15:40, too late to put the last pots together "
        "and pack them for that day's pick-up. A second tool at a moulder abroad makes a lot of them on Monday, which "
        "comes on Thursday, while ours makes the others.",
        "two tools with the same part among their `cavities`, each with `presses` where it stands; where each works "
        "can be said in `planning.made_at`",
        lambda plan: [*_tools_at(plan), *_brought(plan)],
    ),
    "assembly-elsewhere": Situation(
        "A workshop abroad puts them together",
        "Four people two hours ahead of our clock assemble pots, which travel there in lots of 1,000, a day on the "
        "way, and come back for packing, two days on the way. Wednesday 13 January is a holiday there.",
        "`places`, `place` of `assembly`, and `there_days`",
        _taken_there,
    ),
    "cores-from-elsewhere": Situation(
        "Cores come from elsewhere into our mould",
        "A moulder makes the cores that a soft grip is moulded over on our press. They come in lots of 1,300, so the "
        "grip is moulded in two lots: the first with what the first lot brings.",
        "`parts.knob.moulded_over`; `place` of the press that moulds `core`",
        lambda plan: [*_moulded_over(plan), *_brought(plan)],
    ),
    "add-ons-only": Situation(
        "Orders of add-ons only",
        "60 supporters ordered two wicks and a book and nothing else, 40 a sage pot beside no reward: parcels of their "
        "own.",
        "a tier without `units`; `extra_pieces` and `extra_units` of its order lines",
        lambda plan: [*_parts(plan), *_pieces(plan), *_parcels(plan)],
    ),
    "opens-later": Situation(
        "Orders that open later",
        "The addresses of 400 orders are known on 21 January. Their pots are made and assembled before, and packed "
        "from then on.",
        "`opens` of the order line",
        lambda plan: [*_benches(plan), *_parcels(plan)],
    ),
    "second-supplier": Situation(
        "Price breaks, lots and a second supplier",
        "700 leaflets are missing; from 750 on they cost less each, and less in all. They come in two lots; 200 come "
        "from a dearer printer tomorrow.",
        "`pieces.leaflet.price_breaks`, `comes_in` and `also_from`",
        lambda plan: [*_pieces(plan), *_piece_lots(plan), *_cash(plan)],
    ),
    "wishes": Situation(
        "The maker's wishes",
        "Pots go to the big press, the small one is free on Tuesday, feet in sage before pots in sage, sage first, "
        "cream feet not before Wednesday, the two colours of feet together. Pots in cream by Monday 08:00 cannot be: "
        "they take 2 h 30 min alone.",
        "`wishes`",
        _wishes,
    ),
    "base-with-inserts": Situation(
        "One base, changeable inserts",
        "Pot and foot are inserts of one base: they are never in two presses at once, and changing an insert takes 12 "
        "or 8 minutes where mounting the base takes 90.",
        "`tools.pot.base` and `insert_minutes`, and the same of `foot`",
    ),
    "one-tool-in-two-resins": Situation(
        "One tool in two resins",
        "The pot's mould makes pots in PP and tough pots in ABS. It is written down as two tools of one base whose "
        "insert takes no time: never in two presses, purged but not mounted between resins.",
        "the same `base` of both tools, and `insert_minutes` 0",
        _materials,
    ),
    "two-tools-for-one-part": Situation(
        "Two tools for one part",
        "The old tool makes two pots a shot, one in twenty of them scrap; the new one makes four. Both run at once, on "
        "two presses, and the search decides who makes how many: 6,000 pots by Monday evening, which neither makes "
        "alone.",
        "two `tools` with cavities for `pot`; who makes how many can be said in `planning.made_by`",
        _made_with,
    ),
    "cavity-blocked-by-choice": Situation(
        "A cavity blocked by choice",
        "The tool makes a pot and a lid a shot, and 900 pots but 200 lids are ordered. Run with the lid shut off it "
        "saves its melt: it is written down as two tools of one base, and ten minutes to shut it off.",
        "`tools.pot and lid` and `tools.pot, lid blocked`: the same `base`, `insert_minutes` 10",
        lambda plan: [*_made_with(plan), *_materials(plan)],
    ),
    "overmoulding": Situation(
        "Overmoulding",
        "A soft grip is moulded over a core and a brass insert, which go into the mould before each shot. Cores are "
        "made first, and rest for two hours; scrap of the grip takes cores and inserts with it.",
        "`parts.knob.moulded_over`",
        lambda plan: [*_parts(plan), *_moulded_over(plan), *_pieces(plan)],
    ),
    "overmoulding-in-lots": Situation(
        "Overmoulding lot by lot",
        "A soft grip is moulded over cores that have rested for two hours, and many are wanted the next day. It may be "
        "moulded in lots of at least 300 shots: the first begins when the cores it takes have rested, while the last "
        "cores are still moulded.",
        "`parts.knob.moulded_over`; `tools.grip.smallest_lot_shots`",
        lambda plan: [*_parts(plan), *_moulded_over(plan)],
    ),
    "operators": Situation(
        "Somebody stays at the press",
        "Brass inserts are laid in by hand before each shot of two tools, on two presses. One person can do that, from "
        "6 to 14 o'clock; caps need nobody and are moulded on for six hours when people have left.",
        "`operators` of `tools.knob` and `tools.dial`; `operators` and `operator_rate_per_hour` of `floor`",
        _staying,
    ),
    "others-work": Situation(
        "Others' work in the press",
        "On Monday from 10:00 to 14:00 the press moulds for somebody else and is left with black in it. What we "
        "moulded before would have to be set up twice, so our runs begin when they are gone: the tool is mounted, and "
        "the black purged.",
        "`presses.big.others`: `on_dates`, `leaves` and `moulds`",
        _others,
    ),
    "colour-vote": Situation(
        "A colour still voted on",
        "120 supporters have not chosen yet: cream or sage. At most 80 will take cream, as the vote stands. Parts are "
        "moulded for either way, so that the tool need not come back into the press; what nobody takes stays in stock.",
        "`products.pot.spare_units`, by colourway",
        _parts,
    ),
    "supporters-vote": Situation(
        "A vote of the supporters",
        "Until Friday the supporters vote on the third colour: coral, which the plan counts on, or charcoal. Cream is "
        "moulded meanwhile, and nothing of the third. Coral then comes before moss, charcoal after it: each way has "
        "its own order, purges and price.",
        "`uncertainty.settled`: an outcome whose `recipes` say `colour`",
        _branches,
    ),
    "moving-vote": Situation(
        "A vote that moves orders",
        "600 of the 3,000 orders in cream came late, and the supporters vote until Friday: do they get cream, or moss? "
        "What is ordered in cream for certain is moulded now. The 600 are a run of their own, `cream or moss`, once it "
        "is known which: behind cream, or behind moss.",
        "`uncertainty.settled`: an outcome with `moves`",
        _branches,
    ),
    "sub-assembly": Situation(
        "A sub-assembly before the last assembly",
        "Cap, stem and a seal are put together as a valve on a bench of their own, and its glue sets for two hours, "
        "before it goes into a pot. 100 valves are in hand: nothing of them is moulded or bought again, and "
        "the first pots wait for no valve.",
        "`products.pot.sub_assemblies`, with `at`, `parts`, `pieces`, `minutes`, `rest_hours` and `in_hand`",
        _put_together,
    ),
    "two-campaigns": Situation(
        "Two campaigns on one floor",
        "Trays are new; 60 pots replace what the last campaign's supporters got broken. Both need feet in sage, and "
        "one press, one setter and one packer do it all. It is planned as one, and each campaign has its own cost, "
        "dates and material: a run of feet is shared as the feet that each ordered weigh.",
        "`tiers.replacement pot.campaign`",
        _apart,
    ),
    "price-list": Situation(
        "A moulder's price list",
        "The moulder charges for changeovers, for colour changes on top, for each shift begun on the big press, a "
        "price a piece, and no less than a least sum a run; power is paid by the kWh.",
        "`presses.big.charges`, `draws_kw`, and `price_per_kwh` of `floor`",
        _costs,
    ),
    "resin-price-break": Situation(
        "A resin that is cheaper by the quarter ton",
        "176 kg of resin are moulded. At 2.40 a kg that is 200 kg in bags, 480; from 250 kg on it costs 1.80, so 250 "
        "kg are ordered, 450.",
        "`resins.pp.price_breaks`",
        lambda plan: [*_materials(plan), *_costs(plan)],
    ),
    "deposits": Situation(
        "Deposits and balances",
        "Three tenths of the resin are paid with the order, the rest 30 days after it comes. What is ordered is paid "
        "whole.",
        "`resins.pp.deposit_share` and `balance_days`",
        _cash,
    ),
}


def key_lines(name: str, plan: RunPlan) -> list[str]:
    """What the plan says of the situation, in lines."""
    found = [_run(run) for run in sorted(plan.runs, key=lambda run: run.start)]
    found += SITUATIONS[name].also(plan)
    for tier in plan.tiers:
        promised = f", {tier.days_late} days late" if tier.days_late else ", on time" if tier.promised else ""
        found.append(f"tier {tier.tier}: all gone by {_at(tier.last_dispatch)}{promised}")
    return [*found, f"cost {plan.outcome.total:,.2f} {plan.currency}"]


def page(name: str, plan: RunPlan) -> str:
    """The situation's page, in Markdown."""
    what = SITUATIONS[name]
    lines = "\n".join(f"* {line}" for line in key_lines(name, plan))
    return f"""# {what.title}

{what.words}

Where it is said: {what.said}. The whole campaign is in `api/demo/situations/{name}.json`; plan it with
`./run plan api/demo/situations/{name}.json`.

What the plan says:

{lines}
"""


def main() -> None:
    """Write every page."""
    PAGES.mkdir(exist_ok=True)
    for name in SITUATIONS:
        (PAGES / f"{name}.md").write_text(page(name, plan_of(name)), encoding="utf-8")
    listed = "\n".join(f"* [{what.title}]({name}.md)" for name, what in SITUATIONS.items())
    where = (
        "Each is a file `api/demo/situations/NAME.json`, beside the demo and not\nunder `examples/`: the "
        "service's pages offer them, so they are installed with it."
    )
    what = f"Small invented campaigns, one for each situation, and what their plans say. {where}"
    index = f"# Situations\n\n{what}\n\n{listed}\n"
    (PAGES / "index.md").write_text(index, encoding="utf-8")


if __name__ == "__main__":
    main()
