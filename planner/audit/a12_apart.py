"""A12, where several campaigns share the floor: what each has adds up to the plan, shared by one rule (RULES.md, K)."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import NamedTuple

from planner.audit import masses
from planner.audit.a08_finishing import bench_money, ink
from planner.audit.a09_people import assembly_minutes
from planner.audit.any_order import IN_ANY_ORDER
from planner.audit.carriers import late_money, pallet_money
from planner.audit.case import Case
from planner.audit.charges import charges, energy_rate
from planner.audit.figures import KG, MONEY, exact, same
from planner.audit.findings import Findings
from planner.audit.pieces import money
from planner.audit.places import setters_of
from planner.audit.postage import extra_postage, sent_for
from planner.audit.sampling import bench_minutes
from planner.audit.whose import Owners, Whose, blend, owner, owners
from planner.audit.worked import changeover_seconds, staying_money, worked_seconds
from planner.plan.document import CampaignApart, TierDates


class _Part(NamedTuple):
    """A part of a cost line: what it weighs in it, and whose it is."""

    what: str
    weight: float
    whose: Owners


def told_apart(case: Case, lines: Mapping[str, float], notes: Findings) -> None:
    """Every campaign once, with its tiers, parcels, dates, cost lines, material and pieces. lines: the plan's cost."""
    told = case.plan.campaigns
    labelled = any(tier.campaign for tier in case.campaign.tiers.values())
    names = owners(case.campaign) if labelled else [case.campaign.name]
    apart = len(names) > 1
    if not notes.expect(
        [one.campaign for one in told] == (names if apart else []),
        f"on the floor are {', '.join(f'`{name}`' for name in names)}; told apart are {len(told)} campaigns",
    ):
        return
    if not apart:
        return
    whose = Whose(case)
    parts: dict[str, list[_Part]] = defaultdict(list)
    for part in _parts(case, whose):
        parts[part.what].append(part)
    shares = {what: blend((p.weight, p.whose) for p in parts[what]) or whose.everybody for what in lines}
    common = {what: _common(parts[what], shares[what]) for what in lines}
    decided = {
        name: sum(money * shares[what].get(name, 0.0) for what, money in lines.items() if what not in IN_ANY_ORDER)
        for name in names
    }
    saving = case.plan.outcome.total - case.plan.outcome.lower_bound
    for one in told:
        name = one.campaign
        for trouble in _dates(case, one):
            notes.fault(trouble)
        amounts = {what: money * shares[what].get(name, 0.0) for what, money in lines.items()}
        shared = {what: lines[what] * common[what].get(name, 0.0) for what in lines}
        for what in sorted({line.what for line in one.costs} | set(amounts)):
            said = [line for line in one.costs if line.what == what]
            ours, of_it = amounts.get(what, 0.0), shared.get(what, 0.0)
            notes.expect(
                len(said) <= 1
                and same(sum(line.amount for line in said), ours, MONEY)
                and same(sum(line.shared for line in said), of_it, MONEY),
                f"of {what} `{name}` has {ours:.2f}, {of_it:.2f} of it shared; the plan "
                f"says {', '.join(f'{line.amount:.2f}, {line.shared:.2f} of it shared' for line in said) or 'nothing'}",
            )
        slack = MONEY * max(1, len(one.costs))
        notes.expect(
            same(one.total, sum(line.amount for line in one.costs), slack)
            and same(one.shared, sum(line.shared for line in one.costs), slack),
            f"the lines of `{name}` do not add up to {one.total:.2f}, {one.shared:.2f} of it shared",
        )
        saved = saving * decided[name] / sum(decided.values()) if sum(decided.values()) else 0.0
        notes.expect(
            same(one.could_save, saved, slack),
            f"`{name}` has {saved:.2f} of what could be saved, the plan says {one.could_save:.2f}",
        )
        _goods(case, whose, one, notes)
    whole = sum(one.total for one in told)
    notes.expect(
        same(whole, case.plan.outcome.total, MONEY * max(1, len(told))),
        f"all campaigns together cost {whole:.2f}, the plan {case.plan.outcome.total:.2f}",
    )


def _common(parts: list[_Part], shares: Owners) -> dict[str, float]:
    """Campaign -> the share of a line that is its part of what serves others too."""
    whole = sum(part.weight for part in parts if part.whose)
    if whole <= 0:
        return {name: share * (share < 1) for name, share in shares.items()}
    found: dict[str, float] = defaultdict(float)
    for part in parts:
        for name, share in part.whose.items():
            found[name] += part.weight * share * (len(part.whose) > 1) / whole
    return found


def _dates(case: Case, one: CampaignApart) -> Iterator[str]:
    """What a campaign's tiers say together."""
    mine = [tier for tier in case.plan.tiers if owner(case.campaign, tier.tier) == one.campaign]
    if not mine:
        yield f"`{one.campaign}` has no tier"
        return
    asked = (
        [tier.tier for tier in mine], sum(tier.parcels for tier in mine), *_first_and_last(case, mine),
        sum(tier.late_parcels for tier in mine), max(tier.days_late for tier in mine),
    )  # fmt: skip
    told = (
        one.tiers, one.parcels, _second(case, one.first_dispatch), _second(case, one.last_dispatch),
        one.late_parcels, one.days_late,
    )  # fmt: skip
    if asked != told:
        yield f"`{one.campaign}` has tiers, parcels and dates other than its tiers say"


def _first_and_last(case: Case, tiers: list[TierDates]) -> tuple[int, int]:
    first = min(_second(case, tier.first_dispatch) for tier in tiers)
    return first, max(_second(case, tier.last_dispatch) for tier in tiers)


def _second(case: Case, moment: datetime) -> int:
    return case.clock.second(moment)


def _goods(case: Case, whose: Whose, one: CampaignApart, notes: Findings) -> None:
    """What a campaign takes of each material and of each kind of bought-in piece."""
    kg: dict[tuple[str, str], float] = {
        (line.kind, line.id): sum(weight * shares.get(one.campaign, 0.0) for weight, shares in parts)
        for line in case.plan.materials
        if (parts := whose.material((line.kind, line.id)))
    }
    said = {(line.kind, line.id): line.kg for line in one.materials}
    for material in sorted(set(kg) | set(said)):
        ours, told = kg.get(material, 0.0), said.get(material, 0.0)
        notes.expect(
            same(ours, told, 4 * KG),
            f"`{one.campaign}` takes {ours:.3f} kg of {material[0]} `{material[1]}`, the plan says {told:.3f}",
        )
    taken = {
        line.id: sum(number * shares.get(one.campaign, 0.0) for number, shares in whose.pieces(line.id))
        for line in case.plan.pieces
    }
    for piece in sorted(set(taken) | set(one.pieces)):
        number = taken.get(piece, 0.0)
        notes.expect(
            same(number, one.pieces.get(piece, 0.0), 1e-3),
            f"`{one.campaign}` takes {number:.2f} `{piece}`, the plan says {one.pieces.get(piece, 0.0):.2f}",
        )


def _parts(case: Case, whose: Whose) -> Iterator[_Part]:
    campaign = case.campaign
    for work in case.works:
        mine = whose.work(work)
        seconds = worked_seconds(case, work)
        purges = [a + b for a, b in zip(masses.purged_kg(work), masses.reopened_kg(work), strict=True)]
        cleared, clearing = masses.cleared(campaign, work)
        waste = sum(purges) + cleared + masses.compound_kg(work) + sum(masses.startup_kg(work))
        yield _Part("press hours", seconds * work.press.rate_per_hour, mine)
        yield _Part("energy", seconds * energy_rate(case, work), mine)
        yield _Part("setter hours", changeover_seconds(case, work) * setters_of(campaign, work.press)[1], mine)
        yield _Part("operator hours", staying_money(case, work), mine)
        yield _Part("moulded material", masses.priced(campaign, work, masses.moulded_kg(work)), mine)
        yield _Part("purge material", masses.priced(campaign, work, purges) + clearing, mine)
        yield _Part("start-up material", masses.priced(campaign, work, masses.startup_kg(work)), mine)
        yield _Part("purging compound", masses.compound_kg(work), mine)
        yield _Part("disposal", waste, mine)
    for press, paid in charges(case).items():
        for what, asked in paid.items():
            yield _Part(what, asked, whose.press(press))
    for stuff in case.plan.materials:
        missing = max(0.0, stuff.used_kg - stuff.stock_kg - stuff.arriving_kg)
        over = (stuff.bought_kg - min(stuff.bought_kg, missing)) * stuff.price_per_kg
        yield _Part("unused minimum orders", over, blend(whose.material((stuff.kind, stuff.id))))
    for line in case.plan.pieces:
        piece = campaign.pieces.get(line.id)
        if piece is not None:
            used, left = money(piece, line.used, line.bought)
            taken = whose.pieces(line.id)
            all_taken = sum(number for number, _ in taken)
            for number, mine in taken:
                yield _Part("bought-in pieces", float(used) * number / all_taken, mine)
            yield _Part("unused minimum orders", float(left), blend(taken))
    yield from _benches(case, whose)


def _benches(case: Case, whose: Whose) -> Iterator[_Part]:
    """What is done for a batch, and for the parts of a lot."""
    campaign = case.campaign
    for one in case.plan.finishing:
        mine = whose.assembly(one.assembly)
        yield _Part("finishing labour", bench_money(case, one), mine)
        yield _Part("finishing by the piece", ink(case, one), mine)
    for lot in case.plan.finishing_lots:
        for visit in lot.visits:
            what = "carriage" if visit.firm in campaign.places else "finishing by the piece"
            yield _Part(what, visit.price, whose.item((lot.part, tuple(lot.colours))))
    worked = {one.id: whose.assembly(one.assembly) for one in case.plan.finishing}
    for carried in case.plan.carried:
        for visit in carried.visits:
            yield _Part("carriage", visit.price, worked.get(carried.of) or whose.batch(carried.of))
    inspecting = bench_minutes(case)
    for job in case.plan.assembly:
        if job.product in campaign.products:
            yield _Part("assembly labour", float(assembly_minutes(case, job, inspecting)[0]), whose.batch(job.batch))
    leaves = {name: sent.at for sent in case.plan.dispatches for name in sent.batches}
    for batch in case.plan.batches:
        if batch.tier not in campaign.tiers or batch.id not in leaves:
            continue
        mine = whose.batch(batch.id)
        yield _Part("packing labour", float(batch.parcels * exact(campaign.tiers[batch.tier].pack_minutes)), mine)
        yield _Part("postage", sent_for(case, batch), mine)
        yield _Part("extra postage", float(extra_postage(case, batch)), mine)
        yield _Part("lateness", float(late_money(case, batch, case.clock.second(leaves[batch.id]))), mine)
    for sent in case.plan.dispatches:
        yield _Part("pallets", pallet_money(case, sent), whose.dispatch(sent))
