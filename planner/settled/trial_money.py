"""What a further trial of a tool costs: what the maker says, and what it takes on the floor (RULES.md, S10.4)."""

from planner.campaign import Campaign
from planner.campaign.hours import spans
from planner.campaign.melts import melt_price
from planner.campaign.uncertainty import FirstTrial


def trial_money(campaign: Campaign, trial: FirstTrial) -> float:
    """Money for one trial more: its `cost`, hours of the press with energy and of a setter, and the melt that is thrown
    away."""
    floor, money = campaign.floor, trial.cost + trial.setter_hours * campaign.floor.setter_rate_per_hour
    if trial.press is not None and trial.hours is not None and trial.press in campaign.presses:
        press = campaign.presses[trial.press]
        hours = sum(span.end - span.start for span in spans(trial.hours)) / 60
        money += hours * (press.rate_per_hour + press.draws_kw * floor.price_per_kwh)
    for melt, kg in zip(trial.melts, trial.kg, strict=True) if trial.kg else ():
        money += kg * (melt_price(campaign, melt) + floor.disposal_per_kg)
    return money
