"""What a day needs of the maker, by plan and log: what is done is gone, what is over and undone stays."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from api.languages import gettext, wording
from api.languages.run_words import nth_run, what_run
from api.languages.sentences import said
from planner.actuals.entries import (
    AnyEntry,
    Delivered,
    Ordered,
    Packed,
    PartsFinished,
    ShotsMade,
    StepDone,
    SubAssembled,
    Ticked,
    ToolNews,
    TurnedOut,
)
from planner.campaign import Campaign
from planner.campaign.hours import weekly
from planner.demand.finishing import visits
from planner.plan import RunPlan
from planner.plan.document import Run
from planner.plan.finished import CarriedLot, LotVisit
from planner.plan.finishing import BROUGHT, TAKEN
from planner.plan.made_by import where_made
from planner.plan.run_names import RunNames
from planner.readiness import ready_days
from planner.settled import things

LOGGED_AS = {"resin": "resin", "masterbatch": "colour", "purging compound": "compound"}
"""What the plan's lists call a material -> what an entry of the log does."""


TICKED = "ticked: "
"""Begins the note of an entry that a tick made; behind it stands the need's key."""
SETTLED = "settled"
"""What a need is called that asks how something turned out."""


@dataclass(frozen=True)
class Need:
    """One thing on one day. at: wall-clock time where it has one. tick: what a tick of it says; "": nothing to tick.

    entries: what the log takes down then, without the moment. key: of this need among the plan's.
    """

    day: date
    what: str
    text: str
    at: str = ""
    key: str = ""
    tick: str = ""
    entries: tuple[dict[str, Any], ...] = ()


@dataclass(frozen=True)
class Today:
    """A day's needs, those of days before that nobody ticked, and the next days that need something.

    unsaid: how something turned out whose day is over; nobody said it, and all else waits for it.
    """

    day: date
    unsaid: list[Need]
    needs: list[Need]
    overdue: list[Need]
    following: list[Need]


def in_order(plan: RunPlan, campaign: Campaign, log: Sequence[AnyEntry]) -> list[Need]:
    """Everything the plan still asks of people, day by day: some tens of milliseconds for a large plan."""
    return sorted(needs(plan, campaign, log), key=lambda need: (need.day, need.at, need.what, need.text))


def todays(known: Sequence[Need], day: date, ahead: int = 6) -> Today:
    """What that day asks for, what is overdue, and the next things after it. known: all, in order."""
    before = [n for n in known if n.day < day]
    return Today(
        day,
        [n for n in before if n.what == SETTLED],
        [n for n in known if n.day == day],
        [n for n in before if n.what != SETTLED],
        [n for n in known if n.day > day][:ahead],
    )


def needs(plan: RunPlan, campaign: Campaign, log: Sequence[AnyEntry]) -> Iterator[Need]:
    """Everything the plan still asks of people. What may be done on any day is not asked for on a closed one."""
    done = {one.note.removeprefix(TICKED) for one in log if one.note.startswith(TICKED)}
    ended = {key.split(" ")[1] for key in done if key.startswith("run ")}
    for need in _asked(plan, campaign, log, [one for one in log if not one.note.startswith(TICKED)]):
        kind, _, rest = need.key.partition(" ")
        if need.key not in done and not (kind in ("run", "set") and rest.split(" ")[0] in ended):
            yield need


def _asked(plan: RunPlan, campaign: Campaign, log: Sequence[AnyEntry], counted: Sequence[AnyEntry]) -> Iterator[Need]:
    """counted: entries that nobody ticked here; they are laid against what the plan asks for, in its order."""
    working = _working_days(campaign)
    yield from _to_order(plan, campaign, counted, working)
    yield from _tools(plan, campaign, log, working)
    yield from _settled(campaign, log, working)
    yield from _deliveries(campaign, log, counted, working)
    yield from _at_presses(plan, campaign, counted)
    yield from _between(plan, campaign, log, counted)
    yield from _at_benches(plan, counted)
    handed = {one.id for one in log if isinstance(one, Ticked) and one.of == "handed-over"}
    for dispatch in plan.dispatches:
        if dispatch.id not in handed:
            text = f"{wording.counted(dispatch.parcels, 'parcel')} leave"
            entry = {"what": "ticked", "of": "handed-over", "id": dispatch.id}
            yield Need(
                dispatch.at.date(),
                "pick-up",
                text,
                f"{dispatch.at:%H:%M}",
                f"go {dispatch.id}",
                "handed over",
                (entry,),
            )


def _to_order(plan: RunPlan, campaign: Campaign, log: Sequence[AnyEntry], working: "_WorkingDays") -> Iterator[Need]:
    under_way: defaultdict[tuple[str, str], float] = defaultdict(float)
    for one in log:
        if isinstance(one, Ordered):
            under_way[one.of, one.id] += one.amount
    for material in plan.materials:
        of = LOGGED_AS[material.kind]
        left = material.bought_kg - under_way[of, material.id]
        if material.order_by is not None and left > 0.05 * material.bought_kg:
            text = f"{wording.kilograms(left)} of {material.kind} {material.id}"
            yield _order(campaign, of, material.id, left, text, material.order_by, working)
    for piece in plan.pieces:
        missing = piece.bought - round(under_way["piece", piece.id])
        if piece.order_by is not None and missing > 0:
            text = f"{wording.number(missing)} {piece.id}"
            yield _order(campaign, "piece", piece.id, missing, text, piece.order_by, working)


def _order(campaign: Campaign, of: str, name: str, amount: float, text: str, by: date, working: "_WorkingDays") -> Need:
    known: dict[str, Mapping[str, Any]] = {
        "piece": campaign.pieces, "resin": campaign.resins, "colour": campaign.colours,
    }  # fmt: skip
    lead = getattr(known.get(of, {}).get(name), "lead_days", None) or 0
    entry = {"what": "ordered", "of": of, "id": name, "amount": amount, "lead_days": lead}
    return Need(working.before(by), "order", text, "", f"order {of} {name}", "ordered", (entry,))


def _tools(plan: RunPlan, campaign: Campaign, log: Sequence[AnyEntry], working: "_WorkingDays") -> Iterator[Need]:
    news = {one.tool: one for one in log if isinstance(one, ToolNews)}
    wanted = {run.tool for run in plan.runs}
    for name, ready in ready_days(campaign).items():
        if name not in wanted:  # nothing of it is moulded any more
            continue
        told = news.get(name)
        day = ready if told is None else told.ready
        if day is not None:
            entry = {"what": "tool", "tool": name}
            on = day.date() if isinstance(day, datetime) else day
            yield Need(working.after(on), "tool", f"{name} must be ready", "", f"tool {name}", "ready", (entry,))
    done = {(one.tool, one.step) for one in log if isinstance(one, StepDone)}
    for step in plan.tool_steps:
        if not step.done and (step.tool, step.step) not in done:
            who = f", {step.by}" if step.by else ""
            text = f"{step.what} begins{who}, to be done by {wording.day(step.end)}"
            entry = {"what": "tool-step", "tool": step.tool, "step": step.step}
            yield Need(step.begin.date(), "tool", text, "", f"step {step.tool} {step.step}", "done", (entry,))


def _settled(campaign: Campaign, log: Sequence[AnyEntry], working: "_WorkingDays") -> Iterator[Need]:
    """Each way in which something may turn out, on the day on which it is settled, until one of them is ticked."""
    told = {one.thing for one in log if isinstance(one, TurnedOut)}
    for thing in things(campaign):
        at = thing.known
        last = at if isinstance(at, datetime) else at - timedelta(days=1)
        day = last.date() if isinstance(last, datetime) else last
        for turn in thing.turns if thing.id not in told else ():
            entry = {"what": "turned-out", "thing": thing.id, "outcome": turn.id}
            key = f"settled {thing.id} {turn.id}"
            text = f"how did it go? {thing.about}: {turn.words}"
            yield Need(working.after(day), SETTLED, text, "", key, "so it is", (entry,))


def _arriving(campaign: Campaign) -> Iterator[tuple[str, str, Sequence[Any]]]:
    for kind, known in (("piece", campaign.pieces), ("resin", campaign.resins), ("colour", campaign.colours)):
        for name, thing in known.items():
            yield kind, name, thing.arrivals


def _deliveries(
    campaign: Campaign, log: Sequence[AnyEntry], counted: Sequence[AnyEntry], working: "_WorkingDays"
) -> Iterator[Need]:
    came: defaultdict[tuple[str, str], float] = defaultdict(float)
    for one in counted:
        if isinstance(one, Delivered):
            came[one.of, one.id] += one.amount
    expected = [
        (kind, name, delivery.on, delivery.amount) for kind, name, own in _arriving(campaign) for delivery in own
    ]
    expected += [(one.of, one.id, one.due, one.amount) for one in log if isinstance(one, Ordered)]
    for kind, name, on, whole in sorted(expected, key=lambda e: (e[0], e[1], str(e[2]))):
        covered = min(came[kind, name], whole)
        came[kind, name] -= covered
        left = whole - covered
        if left <= 0.05 * whole:
            continue
        said = wording.number(left) if kind == "piece" else f"{wording.kilograms(left)} of"
        text = f"{said} {'masterbatch ' if kind == 'colour' else ''}{name} should arrive"
        entry = {"what": "delivery", "of": kind, "id": name, "amount": left}
        day = on.date() if isinstance(on, datetime) else on
        yield Need(working.after(day), "delivery", text, "", f"came {kind} {name} {on} {whole:g}", "arrived", (entry,))


def _at_presses(plan: RunPlan, campaign: Campaign, log: Sequence[AnyEntry]) -> Iterator[Need]:
    called = RunNames(plan.runs)
    set_up = {one.id for one in log if isinstance(one, Ticked) and one.of == "set-up"}
    made: Counter[tuple[str, str, tuple[str, ...]]] = Counter()
    ended: Counter[tuple[str, str, tuple[str, ...]]] = Counter()
    for one in log:
        if isinstance(one, ShotsMade):
            made[one.press, one.tool, tuple(one.colours)] += one.shots
            ended[one.press, one.tool, tuple(one.colours)] += one.done
    for run in sorted(plan.runs, key=lambda r: r.start):
        colours = tuple(melt.rpartition("/")[2] for melt in run.melts)
        own = (run.press, run.tool, colours)
        had = min(made[own], run.shots)
        made[own] -= had
        if had >= run.shots or ended[own] > 0:
            ended[own] -= ended[own] > 0
            continue
        change = run.changeover
        if change is not None and run.id not in set_up and not had:
            does = [f"mount {run.tool}"] if change.mount_seconds else []
            if does and campaign.tools[run.tool].clamp_kn == 0:
                does.insert(0, f"work out the clamp force of {run.tool}, which nobody has said")
            does += [f"purge {purge.from_} to {purge.to}" for purge in change.purges if purge.where == "barrel"]
            after = "others were at it; " if change.after_others else ""
            text = gettext("%(press)s: %(what)s for the %(nth)s") % {
                "press": run.press,
                "what": said(after) + ", ".join(map(said, does or [f"start {run.tool}"])),
                "nth": nth_run(called[run.id]),
            }
            entry = {"what": "ticked", "of": "set-up", "id": run.id}
            yield Need(
                change.start.date(), "set up", text, f"{change.start:%H:%M}", f"set {run.id}", "is set up", (entry,)
            )
        yield from _to_mould(run, called, run.shots - had, colours)


def _to_mould(run: Run, called: RunNames, left: int, colours: tuple[str, ...]) -> Iterator[Need]:
    """The run on each day it is worked on; on its last day it can be ticked as done."""
    days: dict[date, list[Any]] = {}
    for stretch in run.stretches:
        days.setdefault(stretch.start.date(), []).append(stretch)
    for day, stretches in days.items():
        shots = sum(one.shots for one in stretches)
        until = stretches[-1].end
        by = gettext("until %(time)s") % {"time": f"{until:%H:%M}"}
        text = gettext("%(press)s: %(what)s, %(nth)s: %(shots)s") % {
            "press": run.press,
            "what": what_run(called[run.id]),
            "nth": nth_run(called[run.id]),
            "shots": wording.counted(shots, "shot"),
        }
        text += f", {by if until.date() == day else gettext('through the night')}"
        last = day == max(days)
        if last and run.others_from is not None:
            text += f"; {run.tool} comes out, others take the press over {wording.moment(run.others_from)}"
        entry = {
            "what": "shots", "press": run.press, "tool": run.tool, "colours": list(colours), "shots": left,
            "done": True,
        }  # fmt: skip
        yield Need(
            day,
            "mould",
            text,
            f"{stretches[0].start:%H:%M}",
            f"run {run.id} {day}",
            "run done" if last else "",
            (entry,) if last else (),
        )


def _between(plan: RunPlan, campaign: Campaign, log: Sequence[AnyEntry], done: Sequence[AnyEntry]) -> Iterator[Need]:
    """Lots that leave for another firm or come back, and benches that work on parts. log: all that was written down;
    done: what nobody ticked here, laid against what the plan asks for in its order."""
    campaign = where_made(campaign, plan)
    told = {(one.of, one.id) for one in log if isinstance(one, Ticked)}
    finished: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for one in done:
        if isinstance(one, PartsFinished):
            finished[one.part, tuple(one.colours)] += one.parts
    put = Counter[tuple[str, str, str]]()
    for one in done:
        if isinstance(one, SubAssembled):
            put[one.product, one.colourway, one.sub_assembly] += one.units
    assembly = {job.id: job for job in plan.assembly}
    for lot in plan.finishing_lots:
        called = f"{lot.part} {'/'.join(lot.colours)}"
        for n, visit in enumerate(lot.visits):
            key = f"{lot.id} {n + 1}"
            leave, come = _said_of(visit, called)
            for of, moment, parts, text in (
                ("sent", visit.leaves, visit.parts, leave),
                ("back", visit.back, visit.parts, come),
            ):
                if (of, key) in told:
                    continue
                entry: dict[str, Any] = {"what": "ticked", "of": of, "id": key}
                if of == "back" and n + 1 == len(lot.visits) and _last_at(campaign, lot.part) == visit.firm:
                    had = min(finished[lot.part, tuple(lot.colours)], lot.good)
                    finished[lot.part, tuple(lot.colours)] -= had
                    if had == lot.good:
                        continue
                    entry = {"what": "finished", "part": lot.part, "colours": lot.colours, "parts": lot.good - had}
                said = f"{wording.number(parts)} {text}"
                yield Need(
                    moment.date(), "finishing", said, f"{moment:%H:%M}", f"{of} {key}", _ticked(of, visit), (entry,)
                )
    carried = {lot.of: lot for lot in plan.carried}
    for job in plan.finishing:
        left: list[dict[str, Any]] = []
        for made in job.parts:
            item = made.part, tuple(made.colours)
            if _last_at(campaign, made.part) == job.bench:
                had = min(finished[item], made.good)
                finished[item] -= had
                if had < made.good:
                    left.append(
                        {"what": "finished", "part": made.part, "colours": made.colours, "parts": made.good - had}
                    )
        for sub in job.puts:
            into = assembly[job.assembly]
            had = min(put[into.product, into.colourway, sub.what], sub.units)
            put[into.product, into.colourway, sub.what] -= had
            if had < sub.units:
                unit = {"product": into.product, "colourway": into.colourway, "sub_assembly": sub.what}
                left.append({"what": "put-together", **unit, "units": sub.units - had})
        if job.id in carried:  # what is done with counts as finished once it is where it is taken next
            yield from _carried(carried.pop(job.id), told, tuple(left))
        elif left:
            text = f"{wording.bench_work(job)} at {job.bench}"
            at = f"{job.start:%H:%M}"
            yield Need(job.start.date(), "finishing", text, at, f"finishing {job.id}", "finished", tuple(left))
    for units in carried.values():
        yield from _carried(units, told)


def _carried(
    lot: CarriedLot, told: Collection[tuple[str, str]], there: tuple[dict[str, Any], ...] = ()
) -> Iterator[Need]:
    """What leaves for a bench at another place, and has come. there: what the log says more once it has."""
    for n, visit in enumerate(lot.visits, start=1):
        key, (leave, come) = f"{lot.of} {lot.to} {n}", _said_of(visit, lot.of)
        for of, moment, text in (("sent", visit.leaves, leave), ("back", visit.back, come)):
            if (of, key) not in told:
                more = there if of == "back" and n == len(lot.visits) else ()
                entries = ({"what": "ticked", "of": of, "id": key}, *more)
                yield Need(
                    moment.date(), "finishing", text, f"{moment:%H:%M}", f"{of} {key}", _ticked(of, visit), entries
                )


def _ticked(of: str, visit: LotVisit) -> str:
    """What a tick of a lot says: what comes to another place, or from there, is not back."""
    return "arrived" if of == "back" and visit.what in ([BROUGHT], [TAKEN]) else of


def _said_of(visit: LotVisit, called: str) -> tuple[str, str]:
    """That a lot leaves, and that it has come, in words."""
    if visit.what == [BROUGHT]:
        return f"{called} leave {visit.firm}", f"{called} are here from {visit.firm}"
    if visit.what == [TAKEN]:
        return f"{called} leave for {visit.firm}", f"{called} are at {visit.firm}"
    return f"{called} leave for {visit.firm}", f"{called} are back from {visit.firm}"


def _last_at(campaign: Campaign, part: str) -> str:
    """Where the last of all work on a part is done: a bench, or else where its ways end; "" where it gets colour."""
    steps = campaign.parts[part].finishing
    if any(step.gives_colour for step in steps):
        return ""
    benches = list(campaign.finishing_benches)
    mine = [step.at for step in steps if step.at in benches]
    if mine:
        return max(mine, key=benches.index)
    going = visits(campaign, part)
    return going[-1].firm if going else ""


def _at_benches(plan: RunPlan, log: Sequence[AnyEntry]) -> Iterator[Need]:
    packed: Counter[tuple[int, int]] = Counter()
    for one in log:
        if isinstance(one, Packed):
            packed[one.line, one.part or 1] += one.parcels
    for batch in sorted(plan.batches, key=lambda b: b.start):
        left: list[dict[str, Any]] = []
        for line in batch.lines:
            key = (line.line, batch.part)
            had = min(packed[key], line.count)
            packed[key] -= had
            if had < line.count:
                part = {"part": batch.part} if batch.parts > 1 else {}
                left.append({"what": "packed", "line": line.line, "parcels": line.count - had, **part})
        if left:
            parcels = sum(one["parcels"] for one in left)
            text = f"{wording.counted(parcels, 'parcel')} of {batch.tier} for {batch.region}{wording.part_of(batch)}"
            yield Need(
                batch.start.date(), "pack", text, f"{batch.start:%H:%M}", f"pack {batch.id}", "packed", tuple(left)
            )


class _WorkingDays:
    """Days on which somebody works here at all."""

    def __init__(self, open_on: frozenset[int], closed: frozenset[date]) -> None:
        self._open, self._closed = open_on, closed

    def _works(self, day: date) -> bool:
        return day.weekday() in self._open and day not in self._closed

    def before(self, day: date) -> date:
        """That day, or the last working one before it."""
        return next((d for n in range(15) if self._works(d := day - timedelta(days=n))), day)

    def after(self, day: date) -> date:
        """That day, or the first working one after it."""
        return next((d for n in range(15) if self._works(d := day + timedelta(days=n))), day)


def _working_days(campaign: Campaign) -> _WorkingDays:
    weeks = [*(press.hours for press in campaign.presses.values()), campaign.assembly.hours, campaign.packing.hours]
    open_on = frozenset(day for week in weeks for day, spans in weekly(week).items() if spans)
    return _WorkingDays(open_on, frozenset(campaign.closed_days))


def ticked(need: Need, at: datetime) -> list[dict[str, Any]]:
    """The log's entries for a need that is done at that moment."""
    made = []
    for entry in need.entries:
        entry = {**entry, "at": at.isoformat(timespec="minutes"), "note": (TICKED + need.key)[:500]}
        if "lead_days" in entry:
            entry["due"] = (at.date() + timedelta(days=entry.pop("lead_days"))).isoformat()
        made.append(entry)
    return made
