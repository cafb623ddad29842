"""Cross-checks of what is not sure: ids that are known, shares that make sense."""

from planner.campaign.document import Campaign
from planner.campaign.fit import resins_of
from planner.campaign.pointers import pointer
from planner.campaign.uncertainty import FirstTrial, Spread, ThreePoint
from planner.errors import Problem

SECTIONS = {"tools": "tools", "efficiency_share": "presses", "stops_share": "presses", "purge_share": "presses",
            "piece_days": "pieces", "resin_days": "resins", "colour_days": "colours"}  # fmt: skip
"""Section of the uncertainty -> section of the campaign whose ids it names."""


def check(campaign: Campaign) -> list[Problem]:
    """Unknown ids, and shares that no press or tool can have."""
    unsure = campaign.uncertainty
    if unsure is None:
        return []
    problems = []
    for section, known in SECTIONS.items():
        for name in getattr(unsure, section):
            if name not in getattr(campaign, known):
                where = pointer("uncertainty", section, name)
                problems.append(Problem(where, f"`{name}` is not among `{known}`", "name one that is, or leave it out"))
    if unsure.step_share is not None:
        problems += _range(unsure.step_share, 0, 20, "uncertainty", "step_share")
    for press, spread in unsure.efficiency_share.items():
        problems += _range(spread, 0.05, 20, "uncertainty", "efficiency_share", press)
    for press, spread in unsure.stops_share.items():
        problems += _range(spread, 0, 0.9, "uncertainty", "stops_share", press)
    for press, spread in unsure.purge_share.items():
        problems += _range(spread, 0, 20, "uncertainty", "purge_share", press)
    for bench, spread in unsure.bench_share.items():
        problems += _range(spread, 0.05, 20, "uncertainty", "bench_share", bench)
    if unsure.carrier_days is not None:
        problems += _range(unsure.carrier_days, 0, 365, "uncertainty", "carrier_days")
    for name, tool in unsure.tools.items():
        if tool.mount_share is not None:
            problems += _range(tool.mount_share, 0.05, 20, "uncertainty", "tools", name, "mount_share")
        if tool.cycle_share is not None:
            problems += _range(tool.cycle_share, 0.05, 20, "uncertainty", "tools", name, "cycle_share")
        if tool.scrap_share is not None:
            problems += _range(tool.scrap_share, 0, 0.95, "uncertainty", "tools", name, "scrap_share")
        if tool.first_trial is not None:
            steps = ("uncertainty", "tools", name, "first_trial", "rework_days")
            problems += _range(tool.first_trial.rework_days, 0, 3650, *steps)
            problems += _on_its_press(campaign, name, tool.first_trial)
    return problems


def _on_its_press(campaign: Campaign, name: str, trial: FirstTrial) -> list[Problem]:
    """A trial on one of the presses: the tool goes into it, and is tried with its own resins."""
    here = ("uncertainty", "tools", name, "first_trial")
    if trial.press is None or name not in campaign.tools:
        return []
    if trial.press not in campaign.presses:
        text = f"`{trial.press}` is not among `presses`"
        return [Problem(pointer(*here, "press"), text, "name the press the tool is tried on, or leave it out")]
    tool = campaign.tools[name]
    if tool.presses and trial.press not in tool.presses:
        text = f"tool `{name}` does not go into press `{trial.press}`"
        return [Problem(pointer(*here, "press"), text, "try it on one of its `presses`, or add this one to them")]
    resins, tried = resins_of(campaign, tool), [melt.rpartition("/")[0] for melt in trial.melts]
    if resins is not None and tried != resins:
        text = f"tool `{name}` takes {' + '.join(resins)}, it is tried with {' + '.join(tried)}"
        return [
            Problem(pointer(*here, "melts"), text, "name a melt of each barrel's own resin, the first barrel first")
        ]
    unknown = [colour for _, _, colour in (m.rpartition("/") for m in trial.melts) if colour not in campaign.colours]
    if unknown:
        text = f"`{unknown[0]}` is not among `colours`"
        return [Problem(pointer(*here, "melts"), text, "name a colour that is")]
    return []


def _range(spread: Spread, least: float, most: float, *steps: str) -> list[Problem]:
    ends = (spread.early, spread.late) if isinstance(spread, ThreePoint) else (spread.mean, spread.mean)
    if least <= ends[0] and ends[1] <= most:
        return []
    message = f"{ends[0]:g} to {ends[1]:g} is out of the range {least:g} to {most:g}"
    return [Problem(pointer(*steps), message, f"give figures from {least:g} to {most:g}")]
