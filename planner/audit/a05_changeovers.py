"""A5: each changeover has the mount, purge and start-up that its two neighbours (or the barrel's first state) ask for.

None missing, none extra: the workshop is walked through in order of start, keeping what every press, barrel and
hot runner holds.
"""

from dataclasses import dataclass, field

from planner.audit import resin_heat
from planner.audit.a04_time import is_first_work
from planner.audit.bases import base_of
from planner.audit.case import Asked, Case, Work
from planner.audit.closings import closings
from planner.audit.figures import seconds_of, whole_up
from planner.audit.findings import Findings
from planner.audit.others import NOBODY_KNOWS, between, left_between
from planner.audit.purges import PurgeBook
from planner.plan.document import Changeover, RuleVerdict

SOON = 7 * 86400
"""Seconds after the last run on a press within which it is said who takes it over."""


@dataclass
class Workshop:
    """What is where. melts: (press, barrel) -> melt; hot: (tool, barrel) -> melt; mounted: press -> tool.

    until: press -> when our work there ended.
    """

    melts: dict[tuple[str, int], str] = field(default_factory=dict)
    hot: dict[tuple[str, int], str] = field(default_factory=dict)
    mounted: dict[str, str] = field(default_factory=dict)
    until: dict[str, int] = field(default_factory=dict)


def check(case: Case) -> RuleVerdict:
    """A5 for every run, with a changeover or without."""
    notes = Findings("A5")
    shop, book = Workshop(), PurgeBook(case, notes)
    for name, press in case.campaign.presses.items():
        for number, barrel in enumerate(press.barrels, start=1):
            if barrel.unknown or not (barrel.clean or barrel.holds):
                shop.melts[name, number] = NOBODY_KNOWS
            elif barrel.holds:
                shop.melts[name, number] = barrel.holds
        if press.tool:
            shop.mounted[name] = press.tool
    for name, tool in case.campaign.tools.items():
        for number in (n for n, kg in enumerate(tool.hot_runner_kg, start=1) if kg > 0):
            if number <= len(tool.hot_runner_holds):
                shop.hot[name, number] = tool.hot_runner_holds[number - 1]
            elif not tool.hot_runner_clean:
                shop.hot[name, number] = NOBODY_KNOWS
    for work in case.works:
        _one(case, work, shop, book, notes)
    return notes.verdict(case.moulding_due, "runs")


def _one(case: Case, work: Work, shop: Workshop, book: PurgeBook, notes: Findings) -> None:
    press, tool, changeover = work.run.press, work.run.tool, work.run.changeover
    _others_told(case, work, shop.until.get(press, case.start), notes)
    for number in range(1, len(work.press.barrels) + 1):
        left = left_between(case.theirs[press], shop.until.get(press, case.start), work.begin, number)
        if left is not None:  # their tool is in it now, and their melt
            shop.mounted.pop(press, None)
            shop.melts[press, number] = left
    before = shop.mounted.get(press)
    asked = _purges_asked(case, work, shop)
    if before == tool and not asked:
        notes.expect(changeover is None, f"{work}: the press is already set up so, no changeover is asked for")
    elif notes.expect(
        changeover is not None,
        f"{work}: needs a changeover: "
        + (f"`{tool}` is not mounted" if before != tool else ", ".join(str(one) for one in asked)),
    ):
        assert changeover is not None
        _parts_of(case, work, changeover, before, notes)
        book.compare(work, changeover.purges, asked)
    for one in asked:
        if one.where == "hot runner":
            _flows_together(case, work, one, notes)
    cleared = closings(case, work, book, notes)

    for other, mounted in list(shop.mounted.items()):
        if base_of(case.campaign, mounted) == base_of(case.campaign, tool):
            del shop.mounted[other]
    shop.mounted[press] = tool
    shop.until[press] = max(work.end, shop.until.get(press, case.start))
    for number, melt in enumerate(work.run.melts, start=1):
        shop.melts[press, number] = cleared.get(number, melt)
        if work.hot_kg[number - 1]:
            shop.hot[tool, number] = cleared.get(number, melt)


def _others_told(case: Case, work: Work, since: int, notes: Findings) -> None:
    """Who was at the press since our last run there ended, and who comes after this one, is said in the plan."""
    run, there, second = work.run, case.by_press[work.run.press], case.clock.second
    came = between(case.theirs[run.press], since, work.begin)
    ours = None
    if came:
        left = [left_between(came, since, work.begin, n) for n in range(1, len(work.press.barrels) + 1)]
        first = max(case.start, min(one.start for one in came))  # nothing is told of before the campaign
        ours = first, max(one.end for one in came), left
    told = run.changeover.after_others if run.changeover else None
    said = None if told is None else (second(told.since), second(told.until), told.left)
    notes.expect(said == ours, f"{work}: who worked on the press before it, and left what, is not as the plan says")
    place = there.index(work)
    until = there[place + 1].begin if place + 1 < len(there) else work.end + SOON
    next_on = min((max(work.end, one.start) for one in between(case.theirs[run.press], work.end, until)), default=None)
    comes = None if run.others_from is None else second(run.others_from)
    notes.expect(comes == next_on, f"{work}: when others take the press over after it is not as the plan says")


def _flows_together(case: Case, work: Work, asked: Asked, notes: Findings) -> None:
    """A hot runner has no bridge: what it holds, or may hold, must stand the heat of what comes, and the other way."""
    comes = asked.comes.rpartition("/")[0]
    if asked.held != NOBODY_KNOWS:
        may_be = [asked.held.rpartition("/")[0]]
    else:
        may_be = list(work.tool.hot_runner_has_held)
        low = resin_heat.heat(case.campaign, comes).low or 0.0
        notes.expect(
            bool(may_be) or low <= resin_heat.UNKNOWN_STANDS,
            f"{work}: `{comes}` melts at {low:g} degrees C, and nobody knows what the hot runner holds",
        )
    for held in may_be:
        notes.expect(
            held == comes or resin_heat.meet(case.campaign, held, comes),
            f"{work}: `{held}` in the hot runner and `{comes}` have no heat in common",
        )


def same_pigment(case: Case, held: str, comes: str) -> bool:
    """Whether two melts are one to a press: the same resin with the same masterbatch, whatever that is called."""
    (old_resin, _, old), (new_resin, _, new) = held.rpartition("/"), comes.rpartition("/")
    named = case.campaign.colours
    pigments = [named[one].same_as or one if one in named else one for one in (old, new)]
    return old_resin == new_resin and pigments[0] == pigments[1]


def _purges_asked(case: Case, work: Work, shop: Workshop) -> list[Asked]:
    asked = []
    for number, melt in enumerate(work.run.melts, start=1):
        held = shop.melts.get((work.run.press, number))
        if held is not None and not same_pigment(case, held, melt):
            asked.append(Asked("barrel", number, held, melt))
        held = shop.hot.get((work.run.tool, number))
        if held is not None and not same_pigment(case, held, melt):
            asked.append(Asked("hot runner", number, held, melt))
    return asked


def _minutes_to_mount(case: Case, work: Work, before: str | None) -> float:
    """Minutes to put the run's tool in, which is not in the press; only its insert where its base is."""
    insert = work.tool.insert_minutes
    if before is None or insert is None or work.tool.base is None:
        return work.tool.mount_minutes
    return insert if case.campaign.tools[before].base == work.tool.base else work.tool.mount_minutes


def _parts_of(case: Case, work: Work, changeover: Changeover, before: str | None, notes: Findings) -> None:
    """Warm-up, mount, start-up, and that they and the purges fill the changeover to the second."""
    start, end = case.clock.second(changeover.start), case.clock.second(changeover.end)
    opening = case.openings[work.run.press].around(start)
    cold = opening is not None and is_first_work(case, work.run.press, opening, start)
    warm_up = seconds_of(work.press.restart_minutes) if cold else 0
    notes.expect(
        changeover.warm_up_seconds == warm_up,
        f"{work}: the press is {'cold' if cold else 'hot'} when the changeover begins, so {warm_up} s of warm-up, "
        f"the plan gives {changeover.warm_up_seconds} s",
    )
    mount = 0 if before == work.run.tool else seconds_of(_minutes_to_mount(case, work, before))
    notes.expect(
        changeover.mount_seconds == mount and changeover.from_tool == before,
        f"{work}: the press holds {f'`{before}`' if before else 'no tool'}, so {mount} s to mount, the plan gives "
        f"{changeover.mount_seconds} s from {f'`{changeover.from_tool}`' if changeover.from_tool else 'no tool'}",
    )
    shots, seconds = work.tool.startup_shots, whole_up(work.tool.startup_shots * work.shot)
    notes.expect(
        changeover.startup_shots == shots and changeover.startup_seconds == seconds,
        f"{work}: {shots} start-up shots of {seconds} s are asked for, the plan gives {changeover.startup_shots} of "
        f"{changeover.startup_seconds} s",
    )
    filled = (
        changeover.warm_up_seconds
        + changeover.mount_seconds
        + sum(purge.seconds for purge in changeover.purges)
        + changeover.startup_seconds
    )
    notes.expect(
        end - start == filled,
        f"{work}: warm-up, mount, purges and start-up take {filled} s, the changeover lasts {end - start} s",
    )
