"""Presses and their tools, as arrays of an Instance: when each may work, what is in it, what setting up takes."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import numpy as np

from planner.calendars.attended import Attended, attended
from planner.calendars.clock import Clock
from planner.calendars.others import Taken, press_stretches
from planner.calendars.stretches import stretches
from planner.campaign import Campaign
from planner.campaign.lights_out import lights_out_seconds
from planner.campaign.wishes import Wish
from planner.readiness import ready_days
from planner.schedule.encode.arrays import ints, pointers, whole_seconds
from planner.schedule.encode.changeovers import hot_runners
from planner.schedule.encode.charges import working_cost
from planner.schedule.encode.fit import first_in_hot_runners, first_melts
from planner.schedule.encode.indices import Indices
from planner.schedule.encode.places import setters
from planner.schedule.encode.wishes import free_spans, kept_free


def press_hours(
    campaign: Campaign, press: str, clock: Clock, days: int, wishes: Sequence[Wish]
) -> tuple[list[Attended], list[Taken]]:
    """When a press may work and is not wished free, and until when somebody is there; and when others work on it."""
    machine, people = campaign.presses[press], campaign.floor.attended
    own, taken = press_stretches(campaign, machine, clock, days)
    own = kept_free(own, free_spans(wishes, press, clock))
    if people is None or machine.place is not None:
        return attended(own, None), taken
    there = stretches(people, campaign.closed_days, clock, days)
    return attended(own, there, lights_out_seconds(campaign, press)), taken


def press_fields(of: Indices, open_: Sequence[Sequence[Attended]]) -> dict[str, Any]:
    """Fields of an Instance: each press, and who sets it up. open_: its hours, by press."""
    campaign, presses = of.campaign, of.presses
    tool_index = {tool: n for n, tool in enumerate(of.tools)}
    return {
        "open_ptr": pointers(open_),
        "open_start": ints(s.start for group in open_ for s in group),
        "open_end": ints(s.end for group in open_ for s in group),
        "hands_end": ints(s.hands for group in open_ for s in group),
        "restart_s": ints(whole_seconds(campaign.presses[p].restart_minutes) for p in presses),
        "press_cost_s": np.array([working_cost(campaign, p) / 3600 for p in presses]),
        "press_tool": ints(tool_index.get(campaign.presses[p].tool or "", -1) for p in presses),
        "press_melt": first_melts(campaign, presses, of.melt_index),
        **setters(campaign, presses),
    }


def tool_fields(of: Indices, clock: Clock) -> dict[str, Any]:
    """Fields of an Instance: when each tool is ready, how long it takes to mount, what is in its hot runner."""
    campaign, tools, ready = of.campaign, of.tools, ready_days(of.campaign)
    return {
        "mount_s": ints(whole_seconds(campaign.tools[t].mount_minutes) for t in tools),
        "tool_ready": ints(_seconds(ready[t], clock) for t in tools),
        "hot_runner": hot_runners(campaign, tools),
        "tool_melt": first_in_hot_runners(campaign, tools, of.melt_index),
    }


def _seconds(day: date | datetime | None, clock: Clock) -> int:
    return 0 if day is None else max(0, clock.seconds(day))
