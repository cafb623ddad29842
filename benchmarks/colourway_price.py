"""What each colourway of a campaign costs: planned with all of them and without one, over several seeds.

    python benchmarks/colourway_price.py CAMPAIGN.json [--rounds 20] [--seeds 3] [--orders move|drop]

Prints, for each colourway, the mean over the seeds of the difference (without it less with it) in money, purge
kilograms, press hours, masterbatches bought and days of the last tier, and the spread of the money over the seeds:
a difference smaller than its spread is the search's luck, not the colourway's price.
"""

import argparse
import json
from pathlib import Path

import numpy as np

from planner.campaign import Campaign
from planner.colourways.drop_colourway import Orders, without
from planner.colourways.plan_both import planned_both_ways
from planner.control import Unhurried
from planner.reading import read


def row(campaign: Campaign, product: str, colourway: str, seeds: int, rounds: int, orders: Orders) -> str:
    """One line of the table."""
    found = []
    for seed in range(1, seeds + 1):
        planning = campaign.planning.model_copy(update={"rounds": rounds, "seed": seed})
        here = campaign.model_copy(update={"planning": planning})
        price = planned_both_ways(here, without(here, product, colourway, orders).campaign, Unhurried())
        days = [tier.days for tier in price.tiers if tier.days is not None]
        found.append(
            (
                price.total.difference,
                price.purge_kg.difference,
                price.press_hours.difference,
                price.masterbatches_bought.difference,
                max(days, key=abs, default=0),
            )
        )
    money, kg, hours, bought, days_moved = np.mean(found, axis=0)
    spread = np.std([line[0] for line in found])
    return f"{colourway:16}{money:10.2f}{spread:9.2f}{kg:10.2f}{hours:9.2f}{bought:10.1f}{days_moved:8.1f}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("campaign", type=Path)
    parser.add_argument("--rounds", type=int, default=20)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--orders", choices=("move", "drop"), default="move")
    given = parser.parse_args()
    campaign = read(json.loads(given.campaign.read_text(encoding="utf-8")))
    print(f"without one colourway, less with it; {given.seeds} seeds of {given.rounds} rounds; orders: {given.orders}")
    print(
        f"{'colourway':16}{campaign.currency:>10}{'spread':>9}{'purge kg':>10}{'press h':>9}{'bought':>10}{'days':>8}"
    )
    for product in sorted(campaign.products):
        for colourway in sorted(campaign.products[product].colourways):
            print(row(campaign, product, colourway, given.seeds, given.rounds, given.orders), flush=True)


if __name__ == "__main__":
    main()
