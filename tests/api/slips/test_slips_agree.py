"""The same question gets the same answer: a slip table says of a slip what the variant says that was planned for it."""

from sqlalchemy import update

from api.services.made_plans import made_plan
from api.services.planned_slips import as_planned, planned_slips
from planner.slips.slip import Slip, slipped
from planner.wording import money
from tests.api.plan_fixtures import publish, roomy_pots
from tests.support.pot_plan import pot_plan
from worker.records.tables import Plan


def test_a_table_says_what_the_variant_says(app):
    """A variant that differs in one slip only is found; its figures stand in the table and in its words."""
    service, campaign = app.service, roomy_pots()
    parent_id = publish(service, campaign, pot_plan())
    later = pot_plan().model_copy(update={"outcome": pot_plan().outcome.model_copy(update={"total": 5000.0})})
    same = slipped(campaign, Slip("piece", "carton", 7))
    others = [campaign, same.model_copy(update={"confidence": 0.9}), same]
    ids = [publish(service, one, later) for one in others]
    with service.database.write() as connection:
        connection.execute(update(Plan).where(Plan.id.in_(ids)).values(parent_id=parent_id))
    with service.database.read() as connection:
        [cell] = planned_slips(
            connection, service.local_workshop, made_plan(connection, service.local_workshop, parent_id)
        )
    assert (cell.kind, cell.name, cell.days, cell.policy) == ("piece", "carton", 7, "planned anew")
    assert (cell.plan, cell.cost) == (ids[2], 5000.0)
    kept = cell.model_copy(update={"policy": "nothing else changes", "plan": "", "cost_change": 900.0})
    quick = cell.model_copy(update={"plan": "", "cost": 6000.0, "cost_change": 800.0})
    row = {"kind": "piece", "name": "carton", "slack_days": 3, "words": "as it was"}
    said = [{"cell": kept.model_dump(mode="json")}, {"cell": quick.model_dump(mode="json")}, {"row": row}]
    told = as_planned(said, [cell], "EUR")
    assert told[0] == said[0]
    assert told[1]["cell"]["cost"] == 5000.0
    assert money(900 - cell.cost_change, "EUR") in told[2]["row"]["words"]
    assert as_planned(said, [], "EUR")[1] == said[1]
