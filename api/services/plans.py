"""Plans: submitted, read, listed, changed, planned anew, deleted. Stopped and cancelled: see `jobs`."""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Conflict, NotFound
from api.services import finding, submitting
from api.services.campaign_documents import ReadCampaign
from api.services.finding import find_plan
from api.services.once import Answer, Made, Once
from api.services.submitting import Sent, sent, submitted, submitted_all
from worker.records import changing, ending, reading
from worker.records.outbox import Due
from worker.records.reading import Listed, PlanRow, RevisionRow

Seen = Callable[[PlanRow], None]
"""Raises where the caller saw another state of the plan than it is in."""
Newest = tuple[int, str] | None
"""The newest published revision's number and text; None: none is published yet."""


def submit(service: Service, once: Once[PlanRow], read: ReadCampaign) -> Answer:
    """Write a campaign down as a plan to be made. Raises TooMany where the workshop's quota is used up."""
    asked = _Asked(service, once, sent(once.workshop_id, read), service.sender.takes)
    answer, row = service.database.write_in_group(_submit_all, asked)
    if row is None or not asked.sends:
        service.sender.nudge()
    else:
        service.sender.send(Due(row.id, row.queue))
    return answer


@dataclass(frozen=True)
class _Asked:
    """sends: whoever asks sends the plan to the queue, once it is committed."""

    service: Service
    once: Once[PlanRow]
    sent: Sent
    sends: bool


_Submitted = tuple[Answer, PlanRow | None]
"""The answer, and the plan; None: it was made when the request came first."""


def _submit_all(connection: Connection, asked: Sequence[_Asked]) -> list[_Submitted | Exception]:
    made: dict[int, _Submitted | Exception] = {}
    for sends in (True, False):
        alike = [(n, one) for n, one in enumerate(asked) if one.once.key is None and one.sends is sends]
        if alike:
            sent_at = alike[0][1].service.database.lease_clock.now(connection) if sends else None
            rows = submitted_all(connection, [one.sent for _, one in alike], sent_at)
            for (n, one), row in zip(alike, rows, strict=True):
                made[n] = (one.once.told(row), row) if isinstance(row, PlanRow) else row
    for n, one in enumerate(asked):
        if one.once.key is not None:  # may be the one before it, come again
            made[n] = _submit_once(connection, one)
    return [made[n] for n in range(len(asked))]


def _submit_once(connection: Connection, asked: _Asked) -> _Submitted:
    rows: list[PlanRow] = []

    def act(connection: Connection, _now: float) -> PlanRow:
        sent_at = asked.service.database.lease_clock.now(connection) if asked.sends else None
        (row,) = submitted_all(connection, [asked.sent], sent_at)
        if not isinstance(row, PlanRow):
            raise row
        rows.append(row)
        return row

    answer = asked.once.carry_out(connection, act, asked.sent.wanted.now)
    return answer, rows[0] if rows else None


def submit_campaign(service: Service, workshop_id: str, read: ReadCampaign) -> PlanRow:
    """As `submit`, for whoever sends nothing twice; the plan as it was written down."""
    with service.database.write() as connection:
        row = submitted(connection, workshop_id, read, read.campaign.name, time.time())
    service.sender.nudge()
    return row


def submit_variants(
    service: Service, once: Once[list[PlanRow]], parent_id: str, titled: Sequence[tuple[str, ReadCampaign]]
) -> Answer:
    """Write campaigns, each with its title, down as plans made from one that is there: all of them, or none.

    Raises NotFound and TooMany.
    """

    def act(connection: Connection, now: float) -> list[PlanRow]:
        find_plan(connection, once.workshop_id, parent_id)
        return [submitted(connection, once.workshop_id, read, title, now, parent_id) for title, read in titled]

    return _queued(service, once, act)


def plan_anew(service: Service, once: Once[PlanRow], plan_id: str, read: ReadCampaign, seen: Seen) -> Answer:
    """Queue the plan's next revision; earlier ones stay.

    Raises NotFound, what `seen` raises, and Conflict where the plan is still being made.
    """

    def act(connection: Connection, now: float) -> PlanRow:
        return revised(connection, once.workshop_id, plan_id, read, seen, now)

    return _queued(service, once, act)


def revised(
    connection: Connection, workshop_id: str, plan_id: str, read: ReadCampaign, seen: Seen, now: float
) -> PlanRow:
    """As `plan_anew`, within a transaction of the caller's; the plan as it is then."""
    row = find_plan(connection, workshop_id, plan_id)
    seen(row)
    try:
        submitting.revised(connection, workshop_id, plan_id, read, now)
    except changing.StillOpen:
        raise Conflict(f"The plan is {row.status}; stop or cancel it first.") from None
    return find_plan(connection, workshop_id, plan_id)


def _queued(service: Service, once: Once[Made], act: Callable[[Connection, float], Made]) -> Answer:
    answer = once.carried_out(service, act)
    service.sender.nudge()
    return answer


def rename(service: Service, workshop_id: str, plan_id: str, title: str, seen: Seen) -> PlanRow:
    """Give the plan another title. Raises NotFound and what `seen` raises."""
    with service.database.write() as connection:
        seen(find_plan(connection, workshop_id, plan_id))
        changing.retitle(connection, plan_id, title)
        return find_plan(connection, workshop_id, plan_id)


def remove(service: Service, workshop_id: str, plan_id: str, seen: Seen) -> None:
    """Delete the plan with its revisions and events; one still being made is cancelled by it."""
    with service.database.write() as connection:
        seen(find_plan(connection, workshop_id, plan_id))
        changing.remove(connection, plan_id)


def page(
    service: Service, workshop_id: str, limit: int, before: tuple[float, str] | None, listed: Listed
) -> list[PlanRow]:
    """Newest first. before: the (created_at, id) of the last plan already seen."""
    with service.database.read() as connection:
        return reading.page(connection, workshop_id, limit, before, listed)


def with_newest(service: Service, workshop_id: str, plan_id: str) -> tuple[PlanRow, Newest]:
    """Where the plan stands, and the newest run plan published for it. Raises NotFound."""
    with service.database.read() as connection:
        row = find_plan(connection, workshop_id, plan_id)
        return row, reading.newest_document(connection, plan_id)


def campaign_text(service: Service, workshop_id: str, plan_id: str) -> str:
    """The campaign the plan's newest revision is made from, as it was sent. Raises NotFound."""
    with service.database.read() as connection:
        return finding.campaign_text(connection, workshop_id, plan_id)


def revisions(service: Service, workshop_id: str, plan_id: str) -> list[RevisionRow]:
    """The plan's published revisions, oldest first. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        return reading.revisions(connection, plan_id)


def revision(service: Service, workshop_id: str, plan_id: str, number: int) -> str:
    """The run plan published as that revision, JSON text. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        document = reading.document(connection, plan_id, number)
    if document is None:
        raise NotFound(f"The plan has no revision {number}.")
    return document


def stop_if_open(service: Service, workshop_id: str, plan_id: str) -> None:
    """Stop and keep the best plan so far; finished meanwhile is just as good. Raises NotFound."""
    with service.database.write() as connection:
        if not find_plan(connection, workshop_id, plan_id).finished:
            ending.request_stop(connection, "plan", plan_id, time.time())


@dataclass(frozen=True)
class Revised:
    """A plan's newest published revision and the one before it. Documents as JSON text."""

    row: PlanRow
    numbers: tuple[int, int]
    plans: tuple[str, str]
    campaigns: tuple[str, str]


def last_two_revisions(service: Service, workshop_id: str, plan_id: str) -> Revised:
    """The older one first. Raises NotFound where there are not two."""
    with service.database.read() as connection:
        row = find_plan(connection, workshop_id, plan_id)
        numbers = [one.number for one in reading.revisions(connection, plan_id)][-2:]
        if len(numbers) < 2:
            raise NotFound("This plan has one revision only.")
        before, after = numbers
        made = [reading.document(connection, plan_id, number) or "" for number in numbers]
        sent = [reading.campaign_of_revision(connection, plan_id, number) or "{}" for number in numbers]
    return Revised(row, (before, after), (made[0], made[1]), (sent[0], sent[1]))


def standing(service: Service, workshop_id: str, plan_id: str) -> tuple[PlanRow, str]:
    """Where the plan stands, and the campaign its newest revision is made from. Raises NotFound."""
    with service.database.read() as connection:
        return find_plan(connection, workshop_id, plan_id), finding.campaign_text(connection, workshop_id, plan_id)


def campaign_of_revision(service: Service, workshop_id: str, plan_id: str, number: int) -> str | None:
    """The campaign that revision was made from; None if there is no such revision. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        return reading.campaign_of_revision(connection, plan_id, number)


def document_before(service: Service, workshop_id: str, plan_id: str, number: int) -> str | None:
    """The run plan published as the revision before that one, JSON text; None: there was none. Raises NotFound."""
    if number < 2:
        return None
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        return reading.document(connection, plan_id, number - 1)
