"""What was typed and not sent off yet: kept as typed, by whom, and nobody's words lost where two type at once."""

import time
from typing import Any

from api.service import Service
from api.service.refusals import NotFound
from api.services.acting import now_acting
from api.services.finding import find_plan
from worker.records import drafts
from worker.records.drafts import DraftRow, Place


class Overtaken(Exception):
    """Somebody changed the draft since it was seen. now: as it stands; None: it was sent off or put away."""

    def __init__(self, now: DraftRow | None) -> None:
        super().__init__("the draft was changed meanwhile")
        self.now = now


def at(service: Service, place: Place) -> list[DraftRow]:
    """All of one place, the newest first. Raises NotFound where its plan is not the workshop's."""
    with service.database.read() as connection:
        if place.plan_id is not None:
            find_plan(connection, place.workshop_id, place.plan_id)
        return drafts.at(connection, place)


def find(service: Service, workshop_id: str, draft_id: str) -> DraftRow:
    """Raises NotFound."""
    with service.database.read() as connection:
        found = drafts.find(connection, workshop_id, draft_id)
    if found is None:
        raise NotFound("There is no such draft: it was planned, sent or put away.")
    return found


def keep(service: Service, place: Place, seen: tuple[str, int] | None, content: dict[str, Any]) -> DraftRow:
    """The draft with that content. seen: its id and edition as it was read; None: there was none yet. A plan has one
    draft of a page.

    Raises NotFound where its plan is not the workshop's, Overtaken where it is not in that edition any more.
    """
    who, now = now_acting().who, time.time()
    with service.database.write() as connection:
        if place.plan_id is not None:
            find_plan(connection, place.workshop_id, place.plan_id)
        if seen is None:
            begun = drafts.at(connection, place)[:1] if place.plan_id is not None else []
            if begun and begun[0].content != content:
                raise Overtaken(begun[0])
            return begun[0] if begun else drafts.begin(connection, place, content, who, now)
        known = drafts.find(connection, place.workshop_id, seen[0])
        if known is not None and known.content == content:
            return known
        if not drafts.change(connection, place.workshop_id, seen, content, who, now):
            raise Overtaken(known)
    return DraftRow(seen[0], place.plan_id, content, seen[1] + 1, now, who)


def put_away(service: Service, workshop_id: str, draft_id: str) -> None:
    """It was sent off, or is not wanted any more; doing it twice is doing it once."""
    with service.database.write() as connection:
        drafts.remove(connection, workshop_id, draft_id)
