"""What the plan says runs waited for (A3): whatever it names must have ended, opened or arrived at that very moment."""

from collections import Counter
from datetime import date, datetime

from planner.audit import masses
from planner.audit.a03_drying import ready_moments
from planner.audit.arrivals import comes
from planner.audit.bases import base_of
from planner.audit.case import Case, Work, parts_at, pieces_at
from planner.audit.findings import Findings
from planner.audit.finishing import there
from planner.audit.needs import Item
from planner.audit.pieces import ordered_there, without_order
from planner.audit.wishes import wished_moments

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def waits(case: Case, notes: Findings) -> None:
    """Each run's own words where it has any, and the list of waits where the plan has one."""
    for work in case.works:
        put_off = work.run.not_before
        if put_off is not None:
            second = case.clock.second(put_off)
            opens = [at for at, _ in case.openings[work.run.press].stretches if second <= at <= work.begin]
            notes.expect(
                opens[:1] == [second], f"{work} is said to wait on purpose for {put_off}, when its press does not open"
            )
            notes.expect(
                len(opens) == 1,
                f"{work} is said to wait on purpose for {put_off}, it begins {case.clock.say(work.begin)}",
            )
        said = work.run.waits_for
        if said is None:
            continue
        notes.expect(
            _holds(case, work, said),
            f"{work} is said to wait for {said or 'its press'}, but nothing of the kind happens "
            f"{case.clock.say(work.begin)}",
        )
    if case.plan.why is not None:
        _listed(case, notes)


def _listed(case: Case, notes: Findings) -> None:
    """A wait for every run that did not begin when its press was free, and none else."""
    why = case.plan.why
    assert why is not None
    told = {wait.run: wait for wait in why.waits}
    notes.expect(len(told) == len(why.waits), "a run stands twice in the list of waits")
    unknown = set(told) - {work.run.id for work in case.works}
    notes.expect(not unknown, f"the list of waits names {', '.join(sorted(unknown))}, no run of the plan")
    for works in case.by_press.values():
        free = case.start
        for work in works:
            wait = told.get(work.run.id)
            waited = work.begin > free and work.run.waits_for != ""
            notes.expect(waited == (wait is not None), f"{work}: the list of waits {'lacks' if waited else 'has'} it")
            if wait is not None:
                ours = (work.run.press, free, work.begin)
                theirs = (wait.press, case.clock.second(wait.since), case.clock.second(wait.until))
                notes.expect(
                    ours == theirs and _word(work.run.waits_for) == wait.waited_for,
                    f"{work} waits for {work.run.waits_for or 'its press'} from {case.clock.say(free)} to "
                    f"{case.clock.say(work.begin)}, the list of waits says otherwise",
                )
            free = work.end


def _word(said: str | None) -> str | None:
    if said and said.startswith("tool "):
        return "tool ready" if ", ready " in said else "tool elsewhere"
    return {"a setter": "setter", "its dryer": "dryer", "a wish": "wish", OVER: "moulded over"}.get(said or "", said)


def _holds(case: Case, work: Work, said: str) -> bool:
    clock, begin, tool = case.clock, work.begin, work.run.tool
    others = [other for other in case.works if other is not work]
    if said == "":
        before = [other.end for other in others if other.run.press == work.run.press]
        return begin == case.start or begin in before
    ready = case.ready[tool]
    if said.startswith(f"tool {tool}, ready "):
        told = said.removeprefix(f"tool {tool}, ready ")
        return ready is not None and begin == clock.at(ready) and told in (str(ready), _as_people_read_it(ready))
    if said == f"tool {tool}, on another press until then":
        mine = base_of(case.campaign, tool)
        return any(
            base_of(case.campaign, o.run.tool) == mine and o.run.press != work.run.press and o.end == begin
            for o in others
        )
    if said == "a setter":
        return any(o.run.changeover and clock.second(o.run.changeover.end) == begin for o in others)
    if said == "operators":
        return any(o.tool.operators and o.press.place == work.press.place and o.end == begin for o in others)
    if said == "press hours":
        return any(start == begin for start, _ in case.openings[work.run.press].stretches)
    if said == "a wish":
        return begin in wished_moments(case, work.run.id)
    if said == OVER:
        return begin in moulded_over_there(case, work)
    if said == "its dryer":
        return any(abs(begin - moment) <= 1 for moment in ready_moments(case, work))
    return said == "material" and begin in _deliveries(case, work)


def _as_people_read_it(when: date | datetime) -> str:
    """`Wed 13 Jan 2027 12:00`, without the time where it is a day; plans of older versions have ISO 8601."""
    day = f"{DAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]} {when.year}"
    return f"{day} {when:%H:%M}" if isinstance(when, datetime) else day


OVER = "what it is moulded over"


def moulded_over_there(case: Case, work: Work) -> set[int]:
    """The second at which the run begins, if a second before some of what goes into its mould was not there, beside
    what runs that began before took."""
    before = [other for other in case.works if other.begin <= work.begin]
    parts, pieces = Counter[Item](), Counter[str]()
    for one in before:
        parts.update(parts_at(case.campaign, one))
        pieces.update(pieces_at(case.campaign, one))
    found: set[int] = set()
    for item in parts_at(case.campaign, work):
        if parts[item] > there(case, item, work.begin - 1):
            found.add(work.begin)
    for name in pieces_at(case.campaign, work):
        piece = case.campaign.pieces[name]
        bought = next((line.bought for line in case.plan.pieces if line.id == name), 0)
        second = work.begin - 1
        if pieces[name] > without_order(case, piece, second) + ordered_there(case, piece, bought, second):
            found.add(work.begin)
    return found


def _deliveries(case: Case, work: Work) -> set[int]:
    """Seconds at which some material that the run begins with is there and dried."""
    taken = masses.at_start(case.campaign, work)
    return {second for material in taken for second in comes(case, masses.bought(case.campaign, material))}
