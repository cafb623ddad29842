"""Regions that share a country."""

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem


def check(campaign: Campaign) -> list[Problem]:
    """A country belongs to one region, once: its parcels travel with that region's."""
    problems = []
    first: dict[str, str] = {}
    for region, countries in campaign.regions.items():
        for n, country in enumerate(countries):
            if country in first:
                where = "twice in it" if first[country] == region else f"in region `{first[country]}` already"
                problems.append(
                    Problem(
                        pointer("regions", region, n),
                        f"country {country} of region `{region}` is {where}",
                        "list each country once",
                    )
                )
            first.setdefault(country, region)
    return problems
