"""The workshop's purge log beside a campaign's own: which of its entries are new to the campaign and fit it."""

import json
from collections import Counter
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Conflict
from api.services import plans
from api.services.campaign_documents import ReadCampaign, read_campaign
from api.services.finding import find_plan
from api.services.once import Answer, Once
from api.services.stored_log import Kept, logged_in
from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.purging import PurgeLogged
from worker.records.reading import PlanRow


@dataclass(frozen=True)
class Grown:
    """A campaign's log and what the workshop's adds to it. foreign: entries of melts, tools or presses it has not."""

    campaign: Campaign
    new: list[PurgeLogged]
    foreign: int

    @property
    def log(self) -> list[PurgeLogged]:
        return [*self.campaign.purging.log, *self.new]


def grown(service: Service, workshop_id: str, campaign: Campaign) -> Grown:
    """Look through the workshop's newest entries."""
    known = Counter(_same(entry) for entry in campaign.purging.log)
    new, foreign = [], 0
    for kept in logged_in(service, workshop_id):
        if not _fits(campaign, kept):
            foreign += 1
        elif known[_same(kept.entry)] > 0:
            known[_same(kept.entry)] -= 1
        else:
            new.append(kept.entry)
    return Grown(campaign, new, foreign)


def with_entries(document: Any, new: list[PurgeLogged], largest_budget: float) -> ReadCampaign:
    """The campaign document as it was sent, with these entries behind its own log."""
    entries = [json.loads(entry.model_dump_json(by_alias=True, exclude_unset=True)) for entry in new]
    purging = document.get("purging") or {}
    changed = document | {"purging": purging | {"log": [*purging.get("log", []), *entries]}}
    return read_campaign(json.dumps(changed).encode(), changed, largest_budget)


def grown_of(service: Service, workshop_id: str, plan_id: str) -> tuple[Any, Grown]:
    """The plan's campaign document as it was sent, and its log grown by the workshop's. Raises NotFound."""
    document = plans.campaign_text(service, workshop_id, plan_id)
    return json.loads(document), grown(service, workshop_id, Campaign.model_validate_json(document))


def plan_with_log(service: Service, once: Once[PlanRow], plan_id: str, seen: plans.Seen) -> Answer:
    """Queue the plan's next revision with the entries of the workshop's log that are new to it.

    Raises what `plans.plan_anew` raises, and Conflict where there are none.
    """
    document, more = grown_of(service, once.workshop_id, plan_id)

    def act(connection: Connection, now: float) -> PlanRow:
        seen(find_plan(connection, once.workshop_id, plan_id))
        if not more.new:
            raise Conflict("The workshop's log holds nothing this plan was not made with.")
        read = with_entries(document, more.new, service.settings.largest_budget)
        return plans.revised(connection, once.workshop_id, plan_id, read, seen, now)

    answer = once.carried_out(service, act)
    service.sender.nudge()
    return answer


def _same(entry: PurgeLogged) -> str:
    return entry.model_dump_json(by_alias=True)


def _fits(campaign: Campaign, kept: Kept) -> bool:
    """Whether the campaign's cross-checks would take the entry."""
    entry = kept.entry
    if entry.tool is not None and (
        entry.tool not in campaign.tools or entry.barrel > len(shot_mass_g(campaign, campaign.tools[entry.tool]))
    ):
        return False
    melts = [melt.rsplit("/", 1) for melt in (entry.from_, entry.to)]
    return (
        entry.press in campaign.presses
        and entry.barrel <= len(campaign.presses[entry.press].barrels)
        and all(resin in campaign.resins and colour in campaign.colours for resin, colour in melts)
    )
