"""If-Match and If-None-Match: nobody changes a plan they have not seen as it is (RFC 9110, 13)."""

import re

from api.plans.schemas import etag
from api.service.refusals import Changed, PreconditionRequired
from worker.records.reading import PlanRow

_EDITION = re.compile(r'"(\d+)-\d+"')


def check(if_match: str | None, row: PlanRow, needed: bool = False) -> None:
    """Compare the client's If-Match with the plan's edition.

    Progress and lease are no changes in this sense: an ETag read while the plan was being made still matches.
    Raises Changed, or PreconditionRequired where `needed` and nothing was sent.
    """
    if if_match is None:
        if needed:
            raise PreconditionRequired("Read the plan, then send its ETag as `If-Match`.")
        return
    seen = {int(edition) for edition in _EDITION.findall(if_match)}
    if if_match.strip() != "*" and row.edition not in seen:
        raise Changed("The plan is not as you saw it; read it again.", headers={"ETag": etag(row)})


def unchanged(if_none_match: str | None, row: PlanRow) -> bool:
    """Whether the client already has this very state."""
    if if_none_match is None:
        return False
    tags = {tag.strip().removeprefix("W/") for tag in if_none_match.split(",")}
    return "*" in tags or etag(row) in tags
