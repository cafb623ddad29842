"""Others' work on presses: when it is and what it leaves; whether our resins may come after what nobody knows, there or
in a barrel of which nothing is said."""

from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.fit import fitting, resins_of
from planner.campaign.heat import UNKNOWN_HEAT, bridges_from_unknown, heat_of, meet_at, used_resins
from planner.campaign.pointers import pointer
from planner.campaign.unknown_melts import unknown_in
from planner.errors import Problem
from planner.reading.checks.needs import Needs

BARREL_REMEDY = (
    "ask whoever runs the press, and give `holds` (`resin/colour`), or `clean: true` if it was stripped and cleaned"
)


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Each entry by itself, then what the tools ask for."""
    return [*_entries(campaign), *_too_hot(campaign, needs)]


def _entries(campaign: Campaign) -> Iterator[Problem]:
    for name, press in campaign.presses.items():
        for n, others in enumerate(press.others):
            here = ("presses", name, "others", n)
            if not (others.hours or others.on_dates or others.whenever_closed):
                yield Problem(
                    pointer(*here, "hours"),
                    f"others work on press `{name}`, and nobody says when",
                    'give `hours` or `on_dates`, e.g. {"mon-thu": "14:00-22:00"}, or `whenever_closed: true`',
                )
            if len(others.leaves) > len(press.barrels):
                yield Problem(
                    pointer(*here, "leaves"),
                    f"others leave {len(others.leaves)} melts in press `{name}`, which has {len(press.barrels)} "
                    f"barrel{'s' if len(press.barrels) > 1 else ''}",
                    "name one melt for each barrel, the first barrel first",
                )


def _too_hot(campaign: Campaign, needs: Needs) -> Iterator[Problem]:
    """Tools that fit only where an unknown melt may be in the barrel that stands less than their resin asks for."""
    near = used_resins(campaign)
    for tool in sorted({tool for tool, _ in needs.runs}):
        resins = resins_of(campaign, campaign.tools[tool]) or []
        fits = fitting(campaign, tool)
        if any(name not in campaign.resins for name in resins):
            continue
        against = {
            press: name
            for press in fits
            for k, name in enumerate(resins)
            if unknown_in(campaign, press, k)
            and meet_at(UNKNOWN_HEAT, heat_of(name, campaign.resins[name])) is None
            and not bridges_from_unknown(campaign, name, near)
        }
        if fits and len(against) == len(fits):
            press = fits[0]
            heat, k = heat_of(against[press], campaign.resins[against[press]]), resins.index(against[press])
            unsaid = campaign.presses[press].barrels[k].unsaid
            barrel = f"nobody says what is in barrel {k + 1} of press `{press}`"
            yield Problem(
                pointer("presses", press, "barrels", k, "holds") if unsaid else pointer("presses", press, "others"),
                f"tool `{tool}` moulds `{against[press]}` at {heat.low:g} degrees C or more and fits only where "
                f"{barrel if unsaid else 'others leave what nobody knows'}; that is counted on to stand "
                f"{UNKNOWN_HEAT.survives:g} only",
                f"{BARREL_REMEDY if unsaid else 'say what they leave (`leaves`)'}, or add a resin to go between, one "
                "that may stand and melts below that (PE, say), with stock or `lead_days`",
            )
