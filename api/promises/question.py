"""How sure a plan's dates are: the question, and its answer waited for."""

from anyio import to_thread
from pydantic import BaseModel, Field

from api.service import Service
from api.studies.asking import PATIENCE, ask, document, study_id_in
from planner.promise.document import CONFIDENCE, Asked, Promise
from planner.promise.make import MOST_REPLICATIONS, REPLICATIONS


class PromiseQuestion(BaseModel):
    """How to simulate; everything may be left out."""

    model_config = {"extra": "forbid", "serialize_by_alias": True}
    replications: int = Field(
        alias="floors", default=REPLICATIONS, ge=100, le=MOST_REPLICATIONS, description="replications"
    )
    seed: int = Field(default=1, ge=0, le=2**31 - 1, description="the same seed: the same draws, also for variants")
    confidence: float = Field(default=CONFIDENCE, ge=0.5, le=0.99, description="how sure the date to announce shall be")
    policy: Asked = Field(
        default="of the plan",
        description="of the plan: what the plan counts on, where it says so, else as planned; as planned: the "
        "order of work is followed; first ready: a press whose next tool is late takes the first run whose tool is "
        "ready; plan again: it does what costs least by what is known then",
    )


async def promise_of(service: Service, workshop_id: str, plan_id: str, question: PromiseQuestion) -> Promise | None:
    """The promise of a plan that is made; None if it takes the workers longer than a minute."""
    accepted = await ask(service, workshop_id, plan_id, "promise", question.model_dump())
    text = await document(service, workshop_id, study_id_in(accepted), PATIENCE)
    return None if text is None else await to_thread.run_sync(Promise.model_validate_json, text)
