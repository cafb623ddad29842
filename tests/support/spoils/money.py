"""Spoils of kilograms and of money (A11, A12)."""

from tests.support.spoils.ways import NoPlace, Spoilt, first, later, spoils


@spoils("A11")
def purge_left_out_of_the_material(s: Spoilt) -> None:
    line = first(s.plan["materials"], lambda line: line["purge_kg"] > 0.01)
    line["used_kg"] -= line["purge_kg"]
    line["left_over_kg"] += line["purge_kg"]
    line["purge_kg"] = 0


@spoils("A11")
def start_up_left_out_of_the_material(s: Spoilt) -> None:
    line = first(s.plan["materials"], lambda line: line["startup_kg"] > 0.01)
    line["used_kg"] -= line["startup_kg"]
    line["startup_kg"] = 0


@spoils("A11")
def less_used_than_goes_in(s: Spoilt) -> None:
    s.plan["materials"][0]["used_kg"] -= 0.01


@spoils("A11")
def more_regrind_than_allowed(s: Spoilt) -> None:
    line = s.plan["materials"][0]
    line["regrind_kg"] += 1
    line["used_kg"] -= 1
    line["left_over_kg"] += 1


@spoils("A11")
def not_enough_bought(s: Spoilt) -> None:
    line = first(s.plan["materials"], lambda line: line["bought_kg"] > 0)
    line["left_over_kg"] -= line["bought_kg"]
    line["bought_kg"], line["order_by"] = 0, None


@spoils("A11")
def half_a_bag_bought(s: Spoilt) -> None:
    line = first(s.plan["materials"], lambda line: line["bought_kg"] > 0)
    line["bought_kg"] /= 2
    line["left_over_kg"] -= line["bought_kg"]


@spoils("A11")
def a_bag_too_many_bought(s: Spoilt) -> None:
    line = first(s.plan["materials"], lambda line: line["bought_kg"] > 0)
    line["bought_kg"] += s.material(line)["bag_kg"]
    line["left_over_kg"] += s.material(line)["bag_kg"]


@spoils("A11")
def ordered_too_late(s: Spoilt) -> None:
    first(s.plan["materials"], lambda line: line["order_by"])["order_by"] = "2049-01-01"


@spoils("A11")
def stock_counted_twice(s: Spoilt) -> None:
    line = first(s.plan["materials"], lambda line: line["stock_kg"] > 0)
    line["left_over_kg"] += line["stock_kg"]
    line["stock_kg"] *= 2


@spoils("A11")
def material_missing_from_the_list(s: Spoilt) -> None:
    s.plan["materials"].pop()


@spoils("A11")
def purge_total_played_down(s: Spoilt) -> None:
    if s.plan["purge_kg"] <= 0.01:
        raise NoPlace
    s.plan["purge_kg"] /= 2


@spoils("A11")
def too_few_pieces_bought(s: Spoilt) -> None:
    line = first(s.plan["pieces"], lambda line: line["bought"] > 0)
    line["left_over"] -= line["bought"]
    line["bought"], line["order_by"] = 0, None


@spoils("A11")
def pieces_not_counted(s: Spoilt) -> None:
    line = first(s.plan["pieces"], lambda line: line["used"] > 0)
    line["used"] -= 1
    line["left_over"] += 1


@spoils("A12")
def cost_line_shaved_and_total_with_it(s: Spoilt) -> None:
    line = max(s.plan["costs"], key=lambda line: line["amount"])
    line["amount"] -= 1
    outcome = s.plan["outcome"]
    outcome["total"] -= 1
    outcome["lower_bound"] = min(outcome["lower_bound"], outcome["total"])
    outcome["gap"] = (outcome["total"] - outcome["lower_bound"]) / outcome["total"]


@spoils("A12")
def cost_line_left_out(s: Spoilt) -> None:
    s.plan["costs"].remove(max(s.plan["costs"], key=lambda line: line["amount"]))


@spoils("A12")
def cost_line_said_twice(s: Spoilt) -> None:
    s.plan["costs"].append(dict(s.plan["costs"][0]))


@spoils("A12")
def lines_that_do_not_add_up(s: Spoilt) -> None:
    s.plan["outcome"]["total"] -= 5


@spoils("A12")
def bound_above_the_total(s: Spoilt) -> None:
    outcome = s.plan["outcome"]
    outcome["lower_bound"] = outcome["total"] + 1
    outcome["gap"] = -1 / outcome["total"]


@spoils("A12")
def gap_made_smaller(s: Spoilt) -> None:
    s.plan["outcome"]["gap"] = s.plan["outcome"]["gap"] / 2 - 0.01


@spoils("A12")
def proof_nobody_has(s: Spoilt) -> None:
    outcome = s.plan["outcome"]
    outcome["lower_bound"] = outcome["total"] / 2
    left = 0.5 * outcome["total"] / outcome["avoidable"]
    outcome |= {"gap": 0.5, "status": "optimal", "avoidable_gap": left}


@spoils("A12")
def avoidable_less_than_the_gap(s: Spoilt) -> None:
    outcome = s.plan["outcome"]
    if outcome["total"] - outcome["lower_bound"] < 1:
        raise NoPlace
    outcome["avoidable"] = (outcome["total"] - outcome["lower_bound"]) / 2
    outcome["avoidable_gap"] = 2.0


@spoils("A12")
def most_of_the_cost_called_fixed(s: Spoilt) -> None:
    outcome = s.plan["outcome"]
    left = outcome["total"] - outcome["lower_bound"]
    if outcome["avoidable"] < 2 * left + 1:
        raise NoPlace
    outcome["avoidable"] /= 2
    outcome["avoidable_gap"] = left / outcome["avoidable"]


@spoils("A12")
def avoidable_gap_made_smaller(s: Spoilt) -> None:
    s.plan["outcome"]["avoidable_gap"] = s.plan["outcome"]["avoidable_gap"] / 2 - 0.01


@spoils("A12")
def lateness_not_paid_for(s: Spoilt) -> None:
    line = first(s.plan["costs"], lambda line: line["what"] == "lateness" and line["amount"] > 0.02)
    outcome = s.plan["outcome"]
    outcome["total"] -= line["amount"]
    outcome["lower_bound"] = min(outcome["lower_bound"], outcome["total"])
    outcome["gap"] = (outcome["total"] - outcome["lower_bound"]) / outcome["total"]
    line["amount"] = 0


@spoils("A12")
def run_cheaper_than_it_is(s: Spoilt) -> None:
    s.run(lambda run: run["cost"] > 1)["cost"] -= 0.5


@spoils("A12")
def dearer_press_hours(s: Spoilt) -> None:
    s.campaign["presses"][s.run()["press"]]["rate_per_hour"] += 10


@spoils("A12")
def money_of_another_currency(s: Spoilt) -> None:
    s.plan["currency"] = "XTS"


@spoils("A11")
def price_understated(s: Spoilt) -> None:
    first(s.plan["materials"], lambda line: line["price_per_kg"] > 0)["price_per_kg"] *= 0.9


@spoils("A11")
def first_use_misdated(s: Spoilt) -> None:
    line = s.plan["materials"][0]
    line["first_use"] = later(line["first_use"], 86400)


@spoils("A11")
def bought_where_nothing_can_be_bought(s: Spoilt) -> None:
    line = first(s.plan["materials"], lambda line: line["bought_kg"] > 0)
    s.material(line)["lead_days"] = None


@spoils("A11")
def order_by_date_forgotten(s: Spoilt) -> None:
    first(s.plan["materials"], lambda line: line["order_by"])["order_by"] = None


@spoils("A11")
def ordered_before_the_campaign(s: Spoilt) -> None:
    first(s.plan["materials"], lambda line: line["order_by"])["order_by"] = "2001-01-01"


@spoils("A11")
def material_no_run_takes(s: Spoilt) -> None:
    s.campaign["resins"]["spare"] = {}
    s.plan["materials"].append(dict(s.plan["materials"][0], kind="resin", id="spare"))


@spoils("A11")
def piece_said_twice(s: Spoilt) -> None:
    s.plan["pieces"].append(dict(first(s.plan["pieces"], lambda line: line["used"] > 0)))


@spoils("A11")
def piece_cheaper_than_it_is(s: Spoilt) -> None:
    first(s.plan["pieces"], lambda line: line["price"] > 0)["price"] /= 2


@spoils("A11")
def half_a_pack_of_pieces(s: Spoilt) -> None:
    line = first(s.plan["pieces"], lambda line: line["bought"] > 0)
    s.campaign["pieces"][line["id"]]["pack_of"] = line["bought"] - 1 if line["bought"] > 2 else 1000


@spoils("A11")
def piece_ordered_without_a_date(s: Spoilt) -> None:
    first(s.plan["pieces"], lambda line: line["order_by"])["order_by"] = None


@spoils("A11")
def piece_nobody_has(s: Spoilt) -> None:
    line = first(s.plan["pieces"], lambda line: True)
    s.plan["pieces"].append(dict(line, id="unheard-of", used=0))


@spoils("A12")
def purge_cheaper_than_it_is(s: Spoilt) -> None:
    for run in s.plan["runs"]:
        for purge in run["changeover"]["purges"] if run["changeover"] else []:
            if purge["cost"] > 0.2:
                purge["cost"] /= 2
                return
    raise NoPlace


@spoils("A12")
def campaigns_told_apart_where_there_is_one(s: Spoilt) -> None:
    tier = s.plan["tiers"][0]
    s.plan["campaigns"] = [
        {"campaign": "Another", "tiers": [tier["tier"]], "total": 0, "shared": 0, "could_save": 0, "costs": [],
         "materials": [], "pieces": {}}
        | {field: tier[field] for field in ("parcels", "first_dispatch", "last_dispatch", "late_parcels", "days_late")}
    ]  # fmt: skip
