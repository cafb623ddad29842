"""Cross-checks of the campaign document: what pydantic cannot see because it takes two fields to contradict.

Each module looks at one section and returns every problem it finds. Later checks skip what earlier ones refuse, so a
single mistake isn't reported five times over.
"""

from planner.campaign.document import Campaign
from planner.campaign.orders import alike_lines
from planner.errors import Problem
from planner.reading.checks import (
    bases,
    benches,
    carriers,
    customs,
    dates,
    dryers,
    finishing,
    forbidden_resins,
    heat,
    inspection,
    labels,
    moulded_over,
    names,
    operators,
    orders,
    others,
    packing,
    people,
    places,
    planning,
    presses,
    products,
    purge_masses,
    purging,
    rates,
    regions,
    settled,
    supply,
    tool_steps,
    tools,
    uncertainty,
    wishes,
)
from planner.reading.checks.needs import needs_of


def check(campaign: Campaign) -> list[Problem]:
    """Every contradiction in the campaign, each with a pointer to its field and a remedy; empty: it can be planned."""
    wrong_dates, lines = dates.check(campaign), alike_lines(campaign.orders)
    early = [
        *planning.check(campaign),
        *wrong_dates,
        *names.check(campaign),
        *regions.check(campaign),
        *products.check_colours(campaign, lines),
        *tools.check_shape(campaign),
        *moulded_over.check(campaign),
        *bases.check(campaign),
        *places.check(campaign),
        *tool_steps.check(campaign),
        *purging.check_entries(campaign),
        *uncertainty.check(campaign),
        *inspection.check(campaign),
        *finishing.check(campaign),
        *packing.check_cartons(campaign, lines),
        *rates.check(campaign),
        *carriers.check(campaign),
        *customs.check(campaign, lines),
    ]
    wrong_lines = orders.check(campaign, lines)
    early += wrong_lines.problems
    needs = needs_of(campaign, wrong_lines.sound, wrong_lines.whole)
    if wrong_dates:
        return early  # no calendar can be laid out, so nothing that needs hours can be judged
    early += settled.check(campaign)
    if not early:  # fitting parcels into cartons needs sound names
        early += packing.check_fit(campaign, needs) or rates.check_parcels(campaign, lines)
        needs = needs.with_pieces(packing.cartons_used(campaign, needs))
    return [
        *early,
        *tools.check_fit(campaign, needs),
        *tools.check_open(campaign, needs),
        *operators.check(campaign, needs),
        *products.check_makers(campaign, needs),
        *wishes.check(campaign),
        *presses.check(campaign, needs),
        *people.check(campaign, needs),
        *forbidden_resins.check(campaign, needs),
        *heat.check(campaign, needs),
        *others.check(campaign, needs),
        *supply.check(campaign, needs),
        *dryers.check(campaign, needs),
        *benches.check(campaign, needs),
        *finishing.check_hours(campaign, needs),
        *labels.check(campaign, needs),
        *purging.check_appearance(campaign, needs),
        *purge_masses.check(campaign),
    ]


def check_names(campaign: Campaign) -> list[Problem]:
    """Only whether ids name something and colours are complete: what can be said of a half readable document."""
    lines = alike_lines(campaign.orders)
    return [
        *names.check(campaign),
        *regions.check(campaign),
        *products.check_colours(campaign, lines),
        *orders.check(campaign, lines).problems,
    ]


__all__ = ["check", "check_names"]
