"""What the plan says set each tier's last day (A10): chains without a gap, each link what really happened then."""

from planner.audit import masses
from planner.audit.a03_drying import dryers_of, ready_moments
from planner.audit.a03_wait_reasons import moulded_over_there
from planner.audit.arrivals import comes
from planner.audit.carriers import wave_before
from planner.audit.case import Case
from planner.audit.figures import exact, same, whole_up
from planner.audit.findings import Findings
from planner.audit.wishes import wished_moments
from planner.campaign.materials import Bought
from planner.campaign.products import Piece
from planner.plan.document import Link, PackBatch, TierChain


def chains(case: Case, notes: Findings) -> None:
    """One chain for each tier that leaves, from its last dispatch back to the campaign's start."""
    why = case.plan.why
    if why is None:
        return
    told = sorted(chain.tier for chain in why.chains)
    notes.expect(told == sorted({batch.tier for batch in case.plan.batches}), f"the chains are those of {told}")
    looking = _Looking(case)
    for chain in why.chains:
        _chain(looking, chain, notes)


def _chain(looking: "_Looking", chain: TierChain, notes: Findings) -> None:
    case, clock = looking.case, looking.case.clock
    leaves = clock.second(chain.last_dispatch)
    last = max((at for tier, at in looking.leaves.values() if tier == chain.tier), default=None)
    notes.expect(
        leaves == last and looking.leaves.get(chain.batch) == (chain.tier, leaves),
        f"the chain of tier `{chain.tier}` begins with {chain.batch} on {clock.say(leaves)}, which is not its last",
    )
    at = leaves
    for link in chain.links:
        notes.expect(
            clock.second(link.until) == at and clock.second(link.since) < at,
            f"the chain of tier `{chain.tier}` has a gap at {clock.say(at)}",
        )
        at = clock.second(link.since)
        notes.expect(
            looking.happened(link),
            f"the chain of tier `{chain.tier}`: {link.kind} of {link.of} does not fit {clock.say(at)} to "
            f"{clock.say(clock.second(link.until))}",
        )
    notes.expect(at == case.start, f"the chain of tier `{chain.tier}` ends at {clock.say(at)}, not at the start")
    hours = sum(one.hours for one in chain.hours)
    notes.expect(
        same(hours, (leaves - case.start) / 3600, 1e-6) and all(one.hours > 0 for one in chain.hours),
        f"the hours of tier `{chain.tier}`'s chain add up to {hours:g}, not {(leaves - case.start) / 3600:g}",
    )


class _Looking:
    """What happened when, by name."""

    def __init__(self, case: Case) -> None:
        self.case = case
        clock = case.clock
        sent = {name: clock.second(d.at) for d in case.plan.dispatches for name in d.batches}
        self.leaves = {b.id: (b.tier, sent[b.id]) for b in case.plan.batches if b.id in sent}
        self.picked_up = {d.id: clock.second(d.at) for d in case.plan.dispatches}
        self.packed = {b.id: (clock.second(b.start), clock.second(b.end)) for b in case.plan.batches}
        self.assembled = {j.id: (clock.second(j.start), clock.second(j.end)) for j in case.plan.assembly}
        self.dried = [
            (one.bench, clock.second(one.start), clock.second(one.end), clock.second(one.rested))
            for one in case.plan.finishing
        ]
        self.finished = {one.id: told for one, told in zip(case.plan.finishing, self.dried, strict=True)}
        self.opened = {clock.at(order.opens) for order in case.campaign.orders if order.opens is not None}
        self.works = {work.run.id: work for work in case.works}
        bench = case.campaign.assembly
        self.assembly_opens = {shift.start for shift in case.shifts_of(bench, bench.people)}
        bench = case.campaign.packing
        self.packing_opens = {shift.start for shift in case.shifts_of(bench, bench.people)}

    def happened(self, link: Link) -> bool:
        """Whether what the link names began and ended so."""
        case, of = self.case, link.of
        since, until = case.clock.second(link.since), case.clock.second(link.until)
        match link.kind:
            case "pick-up":
                return self.picked_up[of] == until if of in self.picked_up else of in self.leaves
            case "wave before":
                waited = [batch for batch in case.plan.batches if batch.id == of and until == self.gone_before(batch)]
                return bool(waited) and since == self.packed[of][1]
            case "pick-up full":
                return of in self.leaves and self.leaves[of][1] == until
            case "packing" | "assembly":
                steps = self.packed if link.kind == "packing" else self.assembled
                first = steps.get(link.back_to or "")
                return of in steps and first is not None and (first[0], steps[of][1]) == (since, until)
            case "packing closed":
                return until in self.packing_opens
            case "assembly closed":
                return until in self.assembly_opens
            case "rest":
                part = case.campaign.parts.get(of)
                return part is not None and until - since == whole_up(exact(part.rest_hours) * 3600)
            case "run":
                work = self.works.get(of)
                if work is None or not work.begin == since < until <= work.end:
                    return False
                change = work.run.changeover  # it is the shots that somebody waits for
                return change is None or case.clock.second(change.end) < until
            case "changeover":
                change = self.works[of].run.changeover if of in self.works else None
                spans = (change.start, change.end) if change else ()
                return tuple(case.clock.second(moment) for moment in spans) == (since, until)
            case "finishing":
                latest, begun = self.finished.get(of), self.finished.get(link.back_to or "")
                if latest is None or begun is None:
                    return False
                return latest[0] == begun[0] and (begun[1], latest[2]) == (since, until)
            case "finishing closed":
                bench = case.campaign.finishing_benches.get(of)
                return bench is not None and any(s.start == until for s in case.shifts_of(bench, bench.people))
            case "drying":
                return any(bench == of and (end, rested) == (since, until) for bench, _, end, rested in self.dried)
            case "lot away":
                return any(lot.part == of and case.clock.second(lot.there) == until for lot in case.plan.finishing_lots)
            case "carried":
                return any(
                    (lot.of, case.clock.second(lot.ready), case.clock.second(lot.there)) == (of, since, until)
                    for lot in case.plan.carried
                )
            case "press closed":
                return of in case.openings and any(start == until for start, _ in case.openings[of].stretches)
            case "tool ready":
                ready = self.case.ready.get(of)
                return ready is not None and case.clock.at(ready) == until
            case "wish":
                mine = self.works.get(of)
                if mine is None or mine.begin != until:
                    return False
                return until in wished_moments(case, of)
            case "moulded over":
                held = self.works.get(of)
                return held is not None and held.begin == until and until in moulded_over_there(case, held)
            case "dryer":
                return any(
                    abs(until - moment) <= 1
                    for work in case.works
                    if of in dryers_of(case, work) and work.begin == until
                    for moment in ready_moments(case, work)
                )
            case "orders open":
                return of in self.leaves and until in self.opened
            case "material" | "piece":
                return until in self._arrivals(link)

    def gone_before(self, batch: PackBatch) -> int:
        """When the last of the waves before a batch's left."""
        sent = {name: dispatch for dispatch in self.case.plan.dispatches for name in dispatch.batches}
        return wave_before(self.case, batch, sent)

    def _arrivals(self, link: Link) -> set[int]:
        """Seconds at which more of a material or piece is there."""
        campaign = self.case.campaign
        known: dict[str, Bought | Piece] = {f"resin {name}": entry for name, entry in campaign.resins.items()}
        known |= {f"masterbatch {name}": entry for name, entry in campaign.colours.items()}
        if compound := masses.compound_of(campaign):
            known[" ".join(compound)] = masses.bought(campaign, compound)
        entry = campaign.pieces.get(link.of) if link.kind == "piece" else known.get(link.of)
        return comes(self.case, entry) if entry is not None else set()
