"""A campaign document from a page, taken in as the API does, or shown again with what is wrong with it."""

from fastapi import Response

from api.http.strict_json import NotJson, parse
from api.pages.orders_form import Filled
from api.pages.source_lines import LocatedProblem
from api.pages.templating import page
from api.service import Service
from api.service.refusals import InvalidCampaign, Refused
from api.services import plans
from api.services.campaign_documents import ReadCampaign, read_campaign
from planner.errors import Problem


def document_again(body: bytes, refused: Refused, told: list[LocatedProblem], table: Filled | None = None) -> Response:
    """The document as it was sent, with what is wrong with it; a table of orders sent along goes on with it."""
    text = body.decode(errors="replace") if len(body) < 2_000_000 else ""
    status, detail = int(refused.status), refused.detail
    return page("document.html", status, text=text, problems=told, detail=detail, table=table)


def checked(service: Service, body: bytes) -> ReadCampaign:
    """The document, fit to be planned. Raises Refused with everything that is wrong with it."""
    try:
        parsed = parse(body, service.settings.deepest_body)
    except NotJson as error:
        problem = Problem("", str(error), "check brackets, commas and quotes near there")
        raise InvalidCampaign("This is not a campaign document (JSON).", [problem]) from None
    return read_campaign(body, parsed, service.settings.largest_budget)


def submitted(service: Service, workshop_id: str, body: bytes) -> str:
    """Takes the document in as the API does; gives the address of the plan's page. Raises Refused."""
    read = checked(service, body)
    row = plans.submit_campaign(service, workshop_id, read)
    return f"/plans/{row.id}"
