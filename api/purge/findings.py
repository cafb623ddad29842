"""POST /v1/purge/findings: what to look at in a campaign's colours before the first shot."""

from anyio import to_thread
from fastapi import APIRouter, Request

from api.http.access import REFUSALS, Reader
from api.http.bodies import BODY_REFUSALS, json_body, read_json
from api.http.problems import answers
from api.purge.schemas import PurgeAnswer
from api.service import TheService
from api.service.refusals import Invalid, InvalidCampaign
from api.services.campaign_documents import read_campaign
from planner.campaign import Campaign
from planner.demand.items import run_demands
from planner.errors import Problem
from planner.plan.colour_findings import colour_finding
from planner.plan.document import ColourFinding
from planner.purge.cautions import colour_cautions
from planner.purge.findings import campaign_findings

router = APIRouter(prefix="/v1/purge", tags=["purge"], responses=answers(*REFUSALS))

MOST_MELTS = 120
MOST_LOGGED = 1000
"""What one request may ask for; a plan takes more."""


class ColourCaution(PurgeAnswer):
    """What a colour's finish or strength wants one to mind (common practice, no source)."""

    colour: str
    cautions: list[str]


class ColourFindings(PurgeAnswer):
    """Findings by tool, and cautions by colour. Nothing found: both lists are empty."""

    findings: list[ColourFinding]
    cautions: list[ColourCaution]


@router.post(
    "/findings",
    response_model=ColourFindings,
    summary="Colour sanity of a campaign, before it is planned",
    openapi_extra=json_body(Campaign),
    responses=answers(*BODY_REFUSALS, InvalidCampaign),
)
async def ask_findings(request: Request, service: TheService, caller: Reader) -> ColourFindings:
    """Takes a campaign and looks at its colours in the best order there is; nothing is recorded or planned."""
    settings = service.settings
    body, parsed = await read_json(request, settings.largest_body_bytes, settings.deepest_body)
    return await to_thread.run_sync(lambda: _found(read_campaign(body, parsed, settings.largest_budget).campaign))


def _found(campaign: Campaign) -> ColourFindings:
    melts = {melt for run in run_demands(campaign) for melt in run.melts}
    too_many = []
    if len(melts) > MOST_MELTS:
        too_many.append(Problem("/colours", f"{len(melts)} melts are more than {MOST_MELTS}", "submit it as a plan"))
    if len(campaign.purging.log) > MOST_LOGGED:
        too_many.append(Problem("/purging/log", f"more than {MOST_LOGGED} entries", "submit it as a plan"))
    if too_many:
        raise Invalid("Too much for one question; a plan carries the same findings.", too_many)
    return ColourFindings(
        findings=[colour_finding(placed) for placed in campaign_findings(campaign)],
        cautions=[
            ColourCaution(colour=colour, cautions=said) for colour, said in colour_cautions(campaign, melts).items()
        ],
    )
