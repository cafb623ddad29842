"""What wishes cost that were tried in a plan of their own."""

from dataclasses import dataclass

from api.service import Service
from api.service.refusals import Conflict, NotFound
from api.services.published import Published, find_published
from planner.plan.document import WishKept
from planner.slips.compare import tier_changes


@dataclass(frozen=True)
class Tried:
    """What a plan wishes beyond the one it was made from. more: money it costs more than that one as it stands.

    later: tier, and days by which its last parcel leaves later."""

    parent: Published
    lines: list[WishKept]
    more: float
    later: list[tuple[str, int]]

    @property
    def kept(self) -> bool:
        """Whether all of it can be had."""
        return all(line.kept for line in self.lines)


def tried(service: Service, workshop_id: str, shown: Published) -> Tried | None:
    """None where a plan was made from none, wishes nothing more, or the other one is gone or being made anew."""
    if shown.row.parent_id is None or not shown.campaign.wishes:
        return None
    try:
        parent = find_published(service, workshop_id, shown.row.parent_id)
    except (NotFound, Conflict):
        return None
    known = parent.campaign.wishes
    lines = [line for line in shown.plan.wishes if shown.campaign.wishes[line.wish] not in known]
    if not lines:
        return None
    more = shown.plan.outcome.total - parent.plan.outcome.total
    later = [(tier.tier, tier.days) for tier in tier_changes(parent.plan, shown.plan) if tier.days]
    return Tried(parent, lines, more, later)
