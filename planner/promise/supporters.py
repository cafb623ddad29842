"""Reasons in the words of people who ordered: no press, shot, purge or queue; things by the names the maker typed."""

from dataclasses import dataclass, field

from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.plan.binding import Link, TierChain
from planner.plan.phrases import mould_of
from planner.promise.document import Promise

_MOULDING = {"run", "changeover", "press closed", "rest"}
_BENCHES = {
    "packing": "packing takes time", "packing closed": "packing takes time",
    "assembly": "putting the pieces together takes time", "assembly closed": "putting the pieces together takes time",
}  # fmt: skip


@dataclass(frozen=True)
class Reasons:
    """Tier -> why, as a clause without a full stop. held: what its date waits for as planned. unsure: what may yet
    move it."""

    held: dict[str, str] = field(default_factory=dict)
    unsure: dict[str, str] = field(default_factory=dict)


def reasons(campaign: Campaign, plan: RunPlan, promise: Promise) -> Reasons:
    """Of each tier, as far as the plan and its promise say."""
    chains = plan.why.chains if plan.why is not None else []
    held = {chain.tier: said for chain in chains if (said := _held(campaign, chain))}
    unsure = {
        tier.tier: unsure_of(campaign, tier.drivers[0].factor, tier.drivers[0].about)
        for tier in promise.tiers
        if tier.drivers
    }
    return Reasons(held, unsure)


def unsure_of(campaign: Campaign, factor: str, about: str) -> str:
    """What may move a date. factor: its name in the simulation. about: the maker's words, where there are none here."""
    kind, _, rest = factor.partition("/")
    name, _, what = rest.rpartition("/") if kind in {"tool", "press"} and "/step/" not in rest else (rest, "", "")
    if "/step/" in rest:
        name, _, _ = rest.partition("/step/")
        return f"{mould_of(campaign, name)} may be finished sooner or later than agreed"
    said = {
        ("tool", "ready"): f"{mould_of(campaign, name)} may arrive sooner or later than agreed",
        ("tool", "trials"): f"{mould_of(campaign, name)} may need corrections after its first trial",
        ("tool", "cycle"): "moulding may go faster or slower than planned",
        ("tool", "scrap"): "more or fewer pieces than planned may have to be thrown away",
        ("tool", "mount"): "getting the machines ready may take longer",
        ("press", "efficiency"): "moulding may go faster or slower than planned",
        ("press", "stops"): "a machine may break down",
        ("press", "purges"): "changing colours may take longer",
    }.get((kind, what))
    if said:
        return said
    match kind:
        case "bench":
            return "putting together and packing may go faster or slower than planned"
        case "carrier":
            return "the carrier may collect later than agreed"
        case "piece" | "resin":
            return f"the delivery of {rest} may come late"
        case "colour":
            return f"the delivery of the colour {rest} may come late"
    return about


def _held(campaign: Campaign, chain: TierChain) -> str:
    """What the longest wait of a tier's chain was for; a wait for something from outside before our own work."""
    outside = [link for link in chain.links if link.kind in {"tool ready", "material", "piece"} and _long(link)]
    if outside:
        return _awaited(campaign, max(outside, key=_seconds))
    spent: dict[str, float] = {}
    for link in chain.links:
        said = _own_work(link)
        if said:
            spent[said] = spent.get(said, 0.0) + _seconds(link)
    return max(spent, key=lambda said: spent[said], default="")


def _awaited(campaign: Campaign, link: Link) -> str:
    match link.kind:
        case "tool ready":
            return f"we are waiting for {mould_of(campaign, link.of)}"
        case "material":
            return f"we are waiting for a delivery of {link.of.partition(' ')[2] or link.of}"
    return f"we are waiting for a delivery of {link.of}"


def _own_work(link: Link) -> str:
    if link.kind in _MOULDING:
        return "moulding takes time"
    if link.kind == "pick-up full":
        return "the carrier takes so many parcels at a time"
    if link.kind == "wave before":
        return "the orders sent out before these have to leave first"
    return _BENCHES.get(link.kind, "")


def _seconds(link: Link) -> float:
    return (link.until - link.since).total_seconds()


def _long(link: Link) -> bool:
    """A day at least: shorter waits explain no date."""
    return _seconds(link) >= 86400


def first_up(clause: str) -> str:
    """A clause as the beginning of a sentence; names keep their letters."""
    return clause[:1].upper() + clause[1:]
