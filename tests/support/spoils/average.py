"""A spoil of what a plan is said to cost on average (A13)."""

from tests.support.spoils.ways import Spoilt, spoils


@spoils("A13")
def an_average_of_a_campaign_that_is_sure(s: Spoilt) -> None:
    s.campaign["uncertainty"] = None
    total = s.plan["outcome"]["total"]
    s.plan["outcome"]["expected"] = {
        "mean": total, "standard_error": 0.0, "certain_mean": total, "certain_total": total, "saved": 0.0,
        "saved_error": 0.0, "bound": None, "bound_low": None, "chance_all": None, "replications": 1, "not_done": 0.0,
        "policy": "as planned", "seed": 1, "costs": [total],
        "policies": [{"policy": "as planned", "mean": total, "standard_error": 0.0, "chance_all": None}],
    }  # fmt: skip
