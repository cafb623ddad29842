"""A worker in this process for tests without a queue: answers the parts of studies that are due, makes plans."""

import threading
import time
from typing import Any

from api.service import Service
from planner.campaign import Campaign
from planner.control import Control
from planner.plan import RunPlan
from planner.planning.make import make_plan
from planner.planning.proven_before import ProvenBefore
from planner.studies.kinds import answer
from tests.api.app_client import AppClient
from worker.queue.broker import QUEUES
from worker.records import outbox
from worker.records.tables import StudyPart
from worker.solving.job import Hands
from worker.solving.part import Answerer, work_on_part
from worker.solving.plan import work_on_plan


class InlineWorker:
    """A thread that works until it is told to rest."""

    def __init__(self, service: Service, answerer: Answerer = answer) -> None:
        self._service, self._answerer = service, answerer
        self._rest = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self.worked_on: list[str] = []

    def start(self) -> None:
        self._thread.start()

    def rest(self) -> None:
        self._rest.set()
        self._thread.join(timeout=60)

    def _run(self) -> None:
        while not self._rest.is_set():
            if not self.work_once():
                self._rest.wait(0.02)

    def work_once(self) -> int:
        """Answer what is due now; gives how many parts that was."""
        service = self._service
        with service.database.read() as connection:
            now, empty = time.time(), frozenset(QUEUES)
            due = outbox.fresh(connection, now) + outbox.lost(connection, now, service.settings.resend_after, empty)
        parts = [item for item in due if item.table is StudyPart]
        for item in parts:
            with service.database.write() as connection:
                outbox.take(connection, [item], time.time(), service.settings.resend_after)
            work_on_part(Hands(service.database, service.settings, "inline"), item.id, self._answerer)
            self.worked_on.append(item.id)
        return len(parts)


_PLANS: dict[str, RunPlan] = {}


def planned_once(campaign: Campaign, control: Control, before: ProvenBefore | None = None) -> RunPlan:
    """A plan within rounds, the same each time it is asked for: worked out once for all tests of the process. One
    within seconds is worked out anew."""
    if campaign.planning.rounds is None:
        return make_plan(campaign, control, before)
    document = campaign.model_dump_json(by_alias=True, exclude_unset=True)
    if document not in _PLANS:
        _PLANS[document] = make_plan(campaign, control)
    return _PLANS[document]


def made(app: AppClient, plan_id: str) -> dict[str, Any]:
    """Have a queued plan made, as a worker would."""
    work_on_plan(Hands(app.service.database, app.service.settings, "here"), plan_id, planned_once)
    state: dict[str, Any] = app.client.get(f"/v1/plans/{plan_id}").json()
    assert state["status"] == "done", state
    return state
