"""What a promise took where the campaign says nothing, and what it leaves out, in words."""

from planner.campaign import Campaign
from planner.campaign import common_case as usual
from planner.campaign.common_case import uncertainty_of
from planner.campaign.uncertainty import ThreePoint
from planner.promise.document import Taken

_USUAL: tuple[tuple[str, ThreePoint, str], ...] = (
    ("a tool that is not there yet", usual.READY_DAYS, "days after it is to be ready"),
    ("rework after a trial that fails", usual.REWORK_DAYS, "days"),
    ("cycles", usual.CYCLE_SHARE, "times as planned"),
    ("the efficiency of presses", usual.EFFICIENCY_SHARE, "times as planned"),
    ("breakdowns", usual.STOPS_SHARE, "of a press's working time"),
    ("scrap", ThreePoint(early=usual.SCRAP_LOW, likely=1, late=usual.SCRAP_HIGH), "times as planned"),
    ("purges", usual.PURGE_SHARE, "times as planned"),
    ("mounting tools", usual.MOUNT_SHARE, "times as planned"),
    ("work at the benches", usual.BENCH_SHARE, "times as planned"),
    ("deliveries", usual.DELIVERY_DAYS, "days late"),
    ("pick-ups by the carrier", usual.CARRIER_DAYS, "days late"),
)


def taken(campaign: Campaign) -> list[Taken]:
    """The common case's figures for what this campaign has."""
    late_tool = any(tool.to_come for tool in campaign.tools.values())
    return [
        Taken(about=about, early=spread.early, likely=spread.likely, late=spread.late, unit=unit)
        for n, (about, spread, unit) in enumerate(_USUAL)
        if n > 1 or late_tool
    ]


def left_out(campaign: Campaign) -> list[str]:
    """Kinds of things that go as planned in every replication."""
    said, _ = uncertainty_of(campaign)
    tools = list(said.tools.values())
    kinds = (
        ("tools that come late or fail a trial", any(tool.ready_days or tool.first_trial for tool in tools)),
        ("slower cycles", any(tool.cycle_share for tool in tools) or bool(said.efficiency_share)),
        ("scrap", any(tool.scrap_share for tool in tools)),
        ("breakdowns", bool(said.stops_share)),
        ("purges that take longer", bool(said.purge_share)),
        ("mounting that takes longer", any(tool.mount_share for tool in tools)),
        ("slower benches", bool(said.bench_share)),
        ("late deliveries", bool(said.piece_days or said.resin_days or said.colour_days)),
        ("a carrier that comes late", said.carrier_days is not None),
    )
    late_tool = any(tool.to_come for tool in campaign.tools.values())
    any_finishing = any(part.finishing for part in campaign.parts.values())
    return [
        *(["benches and other firms between press and assembly"] if any_finishing else []),
        *(["the ways here from other places"] if campaign.places else []),
        *(words for n, (words, varies) in enumerate(kinds) if not varies and (n > 0 or late_tool)),
        "material that longer purges use up",
        "people who fall ill",
    ]
