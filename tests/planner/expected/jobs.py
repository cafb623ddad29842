"""Jobs on one press, as textbooks have them."""

from planner.campaign import Campaign
from planner.reading import read
from tests.planner.promise.chains import chain


def jobs(days: dict[str, tuple[float, float, float]], late: dict[str, float]) -> Campaign:
    """One press round the clock, no set-ups; each job a tier of its own, promised at the start: each day costs."""
    data = chain(days).model_dump(mode="json")
    data["presses"]["one"]["begins_with"] = []
    data["products"] = {
        name: {"parts": {name: 1}, "colourways": {"grey": {name: ["grey"]}}, "assembly_minutes": 0} for name in days
    }
    data["tiers"] = {
        name: {"units": {name: 1}, "pack_minutes": 0, "promised": "2027-01-04", "late_cost_per_day": late[name] / 1000}
        for name in days
    }
    data["orders"] = [{"tier": name, "units": {name: ["grey"]}, "count": 1000} for name in days]
    data["presses"]["one"]["rate_per_hour"] = 200
    data["planning"] = {"rounds": 5}
    return read(data)
