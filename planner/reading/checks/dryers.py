"""A3 before planning: resins that a tool would draw faster than their dryer dries, on every press it fits."""

from planner.campaign.document import Campaign
from planner.campaign.dryer_rate import drawn_kg_per_hour, dryer_kg_per_hour, outruns_dryer
from planner.campaign.fit import fitting
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks.needs import Needs


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """One problem for each resin, for the run that draws it fastest, and for runs pinned where it cannot be."""
    worst: dict[str, tuple[float, Problem]] = {}
    for (tool, colours), shots in needs.runs.items():
        melts = needs.melts[tool, colours]
        if any(
            resin not in campaign.resins or colour not in campaign.colours
            for resin, _, colour in (melt.rpartition("/") for melt in melts)
        ):
            continue
        fits = fitting(campaign, tool)
        too_fast = {press: outruns_dryer(campaign, tool, press, melts, shots) for press in fits}
        if not fits or not all(too_fast.values()):
            continue
        press = min(fits, key=lambda p: campaign.presses[p].efficiency)
        resin = str(too_fast[press])
        rate = drawn_kg_per_hour(campaign, tool, press, melts)[resin]
        if resin not in worst or rate > worst[resin][0]:
            worst[resin] = (rate, _problem(campaign, tool, press, resin, rate))
    return [problem for _, problem in worst.values()] + _pinned(campaign, needs)


def _problem(campaign: Campaign, tool: str, press: str, resin: str, rate: float) -> Problem:
    terms, dries = campaign.resins[resin], dryer_kg_per_hour(campaign, resin) or 0.0
    return Problem(
        pointer("resins", resin, "dryer_kg"),
        f"tool `{tool}` draws {rate:.2f} kg of `{resin}` an hour on press `{press}`, and its dryer dries {dries:.2f} "
        f"({terms.dryer_kg:g} kg in {terms.drying_hours:g} h)",
        f"give it a dryer of at least {rate * terms.drying_hours:.1f} kg, or a slower press",
    )


def _pinned(campaign: Campaign, needs: Needs) -> list[Problem]:
    found = []
    for press, machine in campaign.presses.items():
        for n, begun in enumerate(machine.begins_with):
            run = (begun.tool, tuple(begun.colours))
            if run not in needs.runs or press not in fitting(campaign, begun.tool):
                continue
            resin = outruns_dryer(campaign, begun.tool, press, needs.melts[run], needs.runs[run])
            if resin is not None:
                found.append(
                    Problem(
                        pointer("presses", press, "begins_with", n, "tool"),
                        f"on press `{press}` tool `{begun.tool}` draws `{resin}` faster than its dryer dries",
                        "pin it on a slower press, or give the resin a larger dryer (`dryer_kg`)",
                    )
                )
    return found
