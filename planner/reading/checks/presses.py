"""Presses: hours, what is mounted, what they begin with, and whether changeovers and work fit into their hours."""

from collections import Counter
from collections.abc import Mapping
from math import ceil

from planner.campaign.document import Campaign
from planner.campaign.fit import fitting, misfits
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks.hours import OpenHours, in_words
from planner.reading.checks.needs import Needs, RunKey

MOST_PARTS = 20_000_000
"""Of one item; beyond that an order count or a scrap share must be wrong."""


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """All presses, with their hours laid out once."""
    hours = {name: OpenHours(campaign, press) for name, press in campaign.presses.items()}
    opens = {name: open_.longest() > 0 for name, open_ in hours.items()}
    problems = [*_never_open(campaign, needs, opens), *_mounted(campaign), *_clean(campaign), *_begins(campaign, needs)]
    for tool in sorted({tool for tool, _ in needs.runs}):
        presses = {press: hours[press] for press in fitting(campaign, tool) if hours[press].longest()}
        if needs.moulded[tool] > MOST_PARTS:
            problems.append(_too_many(campaign, tool, needs.moulded[tool]))
            continue
        if not presses:
            continue  # reported where the tool fits nowhere, or its presses never open
        wanted = {press: _changeover(campaign, tool, press) for press in presses}
        if all(open_.longest(wanted[press]) < wanted[press] for press, open_ in presses.items()):
            problems += [_too_long(campaign, tool, press, open_.longest()) for press, open_ in presses.items()]
        else:
            problems += _too_much(campaign, needs, tool, presses)
    return problems


def missed(campaign: Campaign, needs: Needs, works: Mapping[str, bool]) -> set[str]:
    """Presses that do not work though something needs them: a run pinned there, or a part whose tools no other press
    takes."""
    pinned = {name for name, press in campaign.presses.items() if press.begins_with}
    tools = {tool for tool, _ in needs.runs}
    fits = [fitting(campaign, tool) for tool in tools]
    several = [makers for part, makers in needs.makers.items() if part in needs.asked and len(makers) > 1]
    fits += [[press for tool in makers for press in fitting(campaign, tool)] for makers in several]
    wanted = {press for presses in fits if not any(works[press] for press in presses) for press in presses}
    return {press for press in wanted | pinned if not works[press]}


def _never_open(campaign: Campaign, needs: Needs, opens: Mapping[str, bool]) -> list[Problem]:
    wanted = missed(campaign, needs, opens)
    return [
        Problem(
            pointer("presses", press, "hours"),
            f"press `{press}` never opens",
            'give it hours, e.g. {"mon-fri": "06:00-14:00"}, or take it out; mind `closed_days` and `on_dates`',
        )
        for press in campaign.presses
        if press in wanted
    ]


def _mounted(campaign: Campaign) -> list[Problem]:
    problems = []
    at: dict[str, str] = {}
    for name, press in campaign.presses.items():
        if press.tool is not None and press.tool in at:
            problems.append(
                Problem(
                    pointer("presses", name, "tool"),
                    f"tool `{press.tool}` is mounted in press `{at[press.tool]}` and in press `{name}`",
                    "a tool is in one press at a time: take it out of one",
                )
            )
        elif press.tool is not None:
            at[press.tool] = name
    return problems


def _clean(campaign: Campaign) -> list[Problem]:
    return [
        Problem(
            pointer("presses", name, "barrels", k, "clean"),
            f"barrel {k + 1} of press `{name}` is said to be clean and to hold `{barrel.holds}`",
            "keep what is true",
        )
        for name, press in campaign.presses.items()
        for k, barrel in enumerate(press.barrels)
        if barrel.clean and barrel.holds
    ] + [
        Problem(
            pointer("presses", name, "barrels", k, "unknown"),
            f"barrel {k + 1} of press `{name}` is said to be unknown, and what it holds is said too",
            "keep what is true",
        )
        for name, press in campaign.presses.items()
        for k, barrel in enumerate(press.barrels)
        if barrel.unknown and (barrel.clean or barrel.holds)
    ]


def _begins(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Runs begun or pinned must be runs the plan has, on presses their tools fit."""
    problems = []
    seen: Counter[RunKey] = Counter()
    for name, press in campaign.presses.items():
        for n, begun in enumerate(press.begins_with):
            tool = campaign.tools.get(begun.tool)
            if tool is None:
                continue
            here = pointer("presses", name, "begins_with", n)
            against = misfits(campaign, begun.tool, name)
            if against:
                problems.append(
                    Problem(
                        f"{here}/tool",
                        f"press `{name}` begins with tool `{begun.tool}`, which doesn't fit: {'; '.join(against)}",
                        "pin it on a press it fits, or take it out",
                    )
                )
            run: RunKey = (begun.tool, tuple(begun.colours))
            seen[run] += 1
            if run not in needs.melts and needs.whole:
                wanted = sorted(" + ".join(colours) for other, colours in needs.melts if other == begun.tool)
                listed = ", ".join(f"`{w}`" for w in wanted[:8]) or "none"
                problems.append(
                    Problem(
                        f"{here}/colours",
                        f"press `{name}` begins with `{begun.tool}` in {' + '.join(begun.colours)}, "
                        "which no order asks for",
                        f"colours still to be moulded with this tool: {listed}",
                    )
                )
            elif seen[run] > 1:
                problems.append(
                    Problem(
                        here,
                        f"`{begun.tool}` in {' + '.join(begun.colours)} is begun twice",
                        "name each run once: it is moulded in one go",
                    )
                )
    return problems


def _changeover(campaign: Campaign, tool: str, press: str) -> int:
    """Seconds a stretch must hold at the least: warm-up, mount (unless it is in the press) and start-up shots.

    A tool that is in the press already must at least get a second of production after a restart.
    """
    mould, machine = campaign.tools[tool], campaign.presses[press]
    mount = 1 / 60 if machine.tool == tool else mould.mount_minutes
    return ceil((machine.restart_minutes + mount) * 60 + mould.startup_shots * mould.cycle_s / machine.efficiency)


def _too_long(campaign: Campaign, tool: str, press: str, stretch: int) -> Problem:
    mould, machine = campaign.tools[tool], campaign.presses[press]
    needs = _changeover(campaign, tool, press)
    return Problem(
        pointer("presses", press, "hours"),
        f"a changeover to tool `{tool}` takes {in_words(needs)} on press `{press}` "
        f"({machine.restart_minutes:g} min warm-up, mount, {mould.startup_shots} start-up shots), "
        f"but the press is never open longer than {in_words(stretch)} at a time",
        f"open the press for at least {in_words(needs)} on some days, or shorten the changeover",
    )


def _too_many(campaign: Campaign, tool: str, parts: int) -> Problem:
    scrap = campaign.tools[tool].scrap_share
    return Problem(
        pointer("tools", tool, "scrap_share"),
        f"tool `{tool}` would have to mould {parts:,} parts of one kind and colour, {scrap:.3g} of them scrap",
        f"check the scrap share (0.02 is 2 in 100) and the order counts; at most {MOST_PARTS:,} can be planned",
    )


def _too_much(campaign: Campaign, needs: Needs, tool: str, presses: dict[str, OpenHours]) -> list[Problem]:
    """Work that the tool's presses could not do within reach, even with nothing else to do."""
    shots = sum(n for (other, _), n in needs.runs.items() if other == tool)
    best = max(campaign.presses[p].efficiency for p in presses)
    work = shots * campaign.tools[tool].cycle_s / best
    if any(open_.enough(work) for open_ in presses.values()):
        return []
    there = sum(open_.seconds() for open_ in presses.values())
    if work <= there:
        return []
    return [
        Problem(
            pointer("tools", tool, "cycle_s"),
            f"tool `{tool}` needs {in_words(work)} of press time for {shots:.0f} shots; "
            f"its presses are open {in_words(there)} in the next ten years",
            "check cycle, cavities and order counts, or give its presses more hours",
        )
    ]
