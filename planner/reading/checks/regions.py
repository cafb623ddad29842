"""Regions that share a country, or bear the name of what is in none."""

from planner.campaign.carriers import ELSEWHERE
from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem


def check(campaign: Campaign) -> list[Problem]:
    """A country belongs to one region, once: its parcels travel with that region's. Parcels for countries of none are
    called by a name that no region has, or nobody could tell the two apart."""
    problems = []
    if ELSEWHERE in campaign.regions:
        problems.append(
            Problem(
                pointer("regions", ELSEWHERE),
                f"region `{ELSEWHERE}` is called as all countries are that no region lists",
                "leave it out where it is meant for those, or give it another name",
            )
        )
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
