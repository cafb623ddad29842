"""The workshop's purge log beside a campaign's own: which of its entries are new to the campaign and fit it."""

import json
from collections import Counter
from dataclasses import dataclass
from typing import Any

from api.service import Service
from api.services.campaign_documents import ReadCampaign, read_campaign
from api.services.stored_log import Kept, logged_in
from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.purging import PurgeLogged


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
