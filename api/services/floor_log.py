"""The floor's log of a plan: written, read, struck out; planning again from it; what it changed and teaches."""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic import TypeAdapter
from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Conflict, Invalid, InvalidCampaign, NotFound, TooMany
from api.services.campaign_documents import read_campaign
from api.services.finding import campaign_text, find_plan
from api.services.made_plans import made_plan
from api.services.once import Answer, Once
from api.services.submitting import submitted
from planner.actuals.changes import Changes, what_changed
from planner.actuals.checks import check
from planner.actuals.entries import Actuals, AnyEntry
from planner.actuals.learned import Learned, learn
from planner.actuals.remaining_campaign import Now, from_here
from planner.campaign import Campaign
from planner.campaign.order_of_work import Told
from planner.errors import CampaignProblems, Problem
from planner.reading import read
from planner.settled.open_orders import as_ordered
from planner.slips.patches import json_patched
from worker.records import floor_log, reading
from worker.records.floor_log import LoggedEntry
from worker.records.reading import PlanRow

ENTRY: TypeAdapter[AnyEntry] = TypeAdapter(AnyEntry)
MOST_TOLD = 100
"""Problems told at once."""


def as_entries(logged: Sequence[LoggedEntry]) -> list[AnyEntry]:
    """Kept entries as the planner takes them."""
    return [ENTRY.validate_python(one.entry) for one in logged]


def log_of(connection: Connection, workshop_id: str, plan_id: str) -> list[AnyEntry]:
    """The plan's log as the planner takes it; within a transaction of the caller's."""
    return as_entries(floor_log.entries(connection, workshop_id, plan_id))


@dataclass(frozen=True)
class NewEntries:
    """Entries to be written down. places: where each stands in what was sent, before what is said of it. problems: of
    those that could not be read."""

    made: list[AnyEntry]
    places: list[str]
    problems: list[Problem]


def add(service: Service, once: Once[list[LoggedEntry]], plan_id: str, new: NewEntries) -> Answer:
    """Write all of them down, or none. Raises NotFound; Invalid, naming those that do not fit; TooMany."""

    def act(connection: Connection, now: float) -> list[LoggedEntry]:
        find_plan(connection, once.workshop_id, plan_id)
        if new.problems:
            raise Invalid("Nothing was logged: some entries do not fit.", new.problems[:MOST_TOLD])
        _fitting(connection, once.workshop_id, plan_id, new)
        documents = [
            one.model_dump(mode="json", by_alias=True, exclude_defaults=True) | {"what": one.what} for one in new.made
        ]
        try:
            floor_log.append(connection, once.workshop_id, plan_id, documents, now)
        except floor_log.TooManyEntries as error:
            raise TooMany(f"{error}.") from None
        return floor_log.entries(connection, once.workshop_id, plan_id)[-len(documents) :]

    return once.carried_out(service, act)


def _fitting(connection: Connection, workshop_id: str, plan_id: str, new: NewEntries) -> None:
    """Raises Invalid where new entries do not fit the campaign, those logged before counted in."""
    before = log_of(connection, workshop_id, plan_id)
    campaign = read(json.loads(campaign_text(connection, workshop_id, plan_id)))
    entries = [*before, *new.made]
    latest = max([campaign.start, *(entry.at for entry in entries)])
    told = []
    for problem in check(campaign, Actuals(as_of=latest, entries=entries)):
        steps = problem.pointer.split("/")
        n = int(steps[2]) - len(before) if len(steps) > 2 and steps[1] == "entries" else -1
        if n >= 0:
            where = "/".join(["", "entries", str(n), *steps[3:]])
            told.append(Problem(where, new.places[n] + problem.message, problem.remedy))
    if told:
        raise Invalid("Nothing was logged: some entries do not fit the campaign.", told[:MOST_TOLD])


def entries(service: Service, workshop_id: str, plan_id: str) -> list[LoggedEntry]:
    """In the order it was sent. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        return floor_log.entries(connection, workshop_id, plan_id)


def log(service: Service, workshop_id: str, plan_id: str) -> list[AnyEntry]:
    """As `entries`, as the planner takes them."""
    return as_entries(entries(service, workshop_id, plan_id))


def strike(service: Service, workshop_id: str, plan_id: str, entry_id: str) -> None:
    """Take out an entry that was a mistake. Raises NotFound."""
    with service.database.write() as connection:
        find_plan(connection, workshop_id, plan_id)
        if not floor_log.strike(connection, workshop_id, plan_id, entry_id):
            raise NotFound("This plan's log has no such entry.")


@dataclass(frozen=True)
class FromMoment:
    """From when to plan again. title: "" for the plan's and the moment. told: none, nothing is held to what people were
    told. patch: to the campaign first (RFC 6902)."""

    as_of: datetime
    title: str
    told: Told | None
    patch: list[dict[str, Any]]


@dataclass(frozen=True)
class PlannedAgain:
    """The plan that was queued, and what was taken for granted because the log did not say."""

    row: PlanRow
    taken_for_granted: list[str]


def plan_again(service: Service, once: Once[PlannedAgain], plan_id: str, wish: FromMoment) -> Answer:
    """Queue a child of the plan: the campaign as it stands by the log at that moment.

    Raises what `made_plan` raises, InvalidCampaign, TooMany, and Conflict where something was logged meanwhile.
    """
    workshop_id = once.workshop_id
    with service.database.read() as connection:
        made = made_plan(connection, workshop_id, plan_id)
        so_far = _until(connection, workshop_id, plan_id, wish.as_of)
    with refused_from_there():
        campaign = read(json_patched(made.document, wish.patch)) if wish.patch else made.campaign
        now = from_here(campaign, made.plan, Actuals(as_of=wish.as_of, entries=so_far), wish.told)
    document = as_document(now.campaign)
    ready = read_campaign(json.dumps(document).encode(), document, service.settings.largest_budget)
    title = wish.title or f"{made.row.title} from {wish.as_of:%d %b %H:%M}"

    def act(connection: Connection, at: float) -> PlannedAgain:
        if _until(connection, workshop_id, plan_id, wish.as_of) != so_far:
            raise Conflict("Something was written into the log meanwhile; ask again, so that it counts.")
        return PlannedAgain(submitted(connection, workshop_id, ready, title[:200], at, plan_id), now.notes)

    answer = once.carried_out(service, act)
    service.sender.nudge()
    return answer


def as_document(campaign: Campaign) -> dict[str, Any]:
    """A campaign as it stands by the log, as its maker would send it: what reading tells apart is told apart again when
    it is read."""
    return as_ordered(campaign).model_dump(mode="json", by_alias=True, exclude_unset=True)


@contextmanager
def refused_from_there() -> Iterator[None]:
    """What is wrong with a campaign from where the floor stands is the caller's to mend: InvalidCampaign."""
    try:
        yield
    except CampaignProblems as error:
        raise InvalidCampaign("The campaign cannot be planned from there.", error.problems[:100]) from None


def _until(connection: Connection, workshop_id: str, plan_id: str, moment: datetime) -> list[AnyEntry]:
    return [entry for entry in log_of(connection, workshop_id, plan_id) if entry.at <= moment]


def changes(service: Service, workshop_id: str, plan_id: str) -> Changes:
    """Of a plan made from another one: what moved, and why, in words. Raises what `made_plan` raises."""
    with service.database.read() as connection:
        here = made_plan(connection, workshop_id, plan_id)
        parent = here.row.parent_id
        if parent is None or reading.find(connection, workshop_id, parent) is None:
            raise NotFound("This plan was not made from another one.")
        before = made_plan(connection, workshop_id, parent)
        logged = log_of(connection, workshop_id, parent)
    start = here.campaign.start
    notes: list[str] = []
    if start > before.campaign.start:
        notes = _standing(before.campaign, [entry for entry in logged if entry.at <= start], start).notes
    return what_changed(before.plan, here.plan, notes)


def _standing(campaign: Campaign, logged: list[AnyEntry], start: datetime) -> Now:
    try:
        return from_here(campaign, None, Actuals(as_of=start, entries=logged))
    except CampaignProblems:
        return Now(campaign, [])


def learned(service: Service, workshop_id: str, plan_id: str) -> list[Learned]:
    """Measured against planned, with evidence. Raises what `made_plan` raises."""
    with service.database.read() as connection:
        made = made_plan(connection, workshop_id, plan_id)
        logged = log_of(connection, workshop_id, plan_id)
    campaign = made.campaign
    latest = max([campaign.start, *(entry.at for entry in logged)])
    return learn(campaign, Actuals(as_of=latest, entries=logged))
