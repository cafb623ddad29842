"""A10: every order line is in exactly one parcel, one pack batch, one dispatch; none lost, none twice; dispatch on a
pick-up day, after packing, within capacity.

An order line of n orders is n parcels, or n of each part where its tier is split; they may lie in several pack
batches, each parcel in one.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date, time, timedelta
from datetime import datetime as wall

from planner.audit.a10_critical_chain import chains
from planner.audit.carriers import carrier_troubles, days_late, hand_over_by, pick_ups_of, wave_before, waves_kept
from planner.audit.carton import carton_troubles
from planner.audit.case import HORIZON, Case
from planner.audit.figures import KG, MONEY, same
from planner.audit.findings import Findings
from planner.audit.needs import pieces_of, units_of
from planner.audit.parts import Inside, part_troubles, parts_due
from planner.audit.places import local_calendar
from planner.audit.postage import at_the_door, charged_kg
from planner.campaign.benches import PickUps
from planner.plan.document import Dispatch, PackBatch, RuleVerdict, TierDates

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def check(case: Case) -> RuleVerdict:
    """A10 from order line to pick-up, and the dates of each tier."""
    notes = Findings("A10")
    _lines(case, notes)
    inside: dict[tuple[int, int], set[Inside]] = defaultdict(set)
    for batch in case.plan.batches:
        _contents(case, batch, notes, inside)
    for batch in case.plan.batches:
        kg = charged_kg(case, batch)
        if batch.box is not None and kg is not None:
            notes.expect(
                same(float(kg), batch.box.charged_kg, KG),
                f"batch {batch.id}: {float(kg):.3f} kg are charged, not {batch.box.charged_kg:g}",
            )
    for trouble in part_troubles(case, inside):
        notes.fault(trouble)
    sent = _dispatched(case, notes)
    for dispatch in case.plan.dispatches:
        _pick_up(case, dispatch, notes)
    _no_needless_wait(case, sent, notes)
    _tiers(case, sent, notes)
    chains(case, notes)
    return notes.verdict(True, "parcels")


def _lines(case: Case, notes: Findings) -> None:
    packed: Counter[tuple[int, int, int]] = Counter()
    for batch in case.plan.batches:
        for line in batch.lines:
            packed[line.line, batch.part, batch.parts] += line.count
            notes.expect(
                0 <= line.line < len(case.campaign.orders) and line.count > 0,
                f"batch {batch.id}: {line.count} parcels of order line {line.line}, which is no order",
            )
    due = Counter(
        {
            (number, part, parts): order.count
            for number, order in enumerate(case.campaign.orders)
            for part, parts in parts_due(case, order)
        }
    )
    for number, part, parts in sorted(set(due) | set(packed)):
        if not 0 <= number < len(case.campaign.orders):
            continue
        ref, key = case.campaign.orders[number].ref, (number, part, parts)
        notes.expect(
            packed[key] == due[key],
            f"order line {number}{f' ({ref})' if ref else ''}{f', part {part} of {parts}' if parts > 1 else ''}: "
            f"{due[key]} parcels ordered, {packed[key]} packed",
        )


def _contents(case: Case, batch: PackBatch, notes: Findings, inside: dict[tuple[int, int], set[Inside]]) -> None:
    """All orders of a batch are alike, and the batch says what is in each parcel; contents of parts go to `inside`."""
    campaign, count = case.campaign, sum(line.count for line in batch.lines)
    notes.expect(batch.parcels == count, f"batch {batch.id}: {batch.parcels} parcels, its lines add up to {count}")
    for trouble in carrier_troubles(case, batch):
        notes.fault(f"batch {batch.id}: {trouble}")
    taken = pick_ups_of(case, batch.carrier)
    most = min(campaign.packing.batch_parcels, taken.parcels if taken else campaign.packing.batch_parcels)
    # plans of before promises by region name no such day of their batches
    notes.expect(
        "hand_over_by" not in batch.model_fields_set or batch.hand_over_by == hand_over_by(case, batch),
        f"batch {batch.id} should have left by {hand_over_by(case, batch)}, the plan says {batch.hand_over_by}",
    )
    notes.expect(
        batch.parcels <= most, f"batch {batch.id}: {batch.parcels} parcels, at most {most} are packed in one go"
    )
    units = {(p, colourway): n for p, colourways in batch.contents.items() for colourway, n in colourways.items() if n}
    pieces = {piece: count for piece, count in batch.pieces.items() if count}
    beside = _without_carton(case, batch, pieces, notes)
    for line in batch.lines:
        if not 0 <= line.line < len(campaign.orders):
            continue
        order = campaign.orders[line.line]
        notes.expect(
            (order.tier, region_of(case, order.country)) == (batch.tier, batch.region),
            f"batch {batch.id} is for tier `{batch.tier}`, region `{batch.region}`; order line {line.line} is "
            f"`{order.tier}` to {order.country}",
        )
        if order.opens is not None:
            notes.expect(
                case.clock.at(order.opens) <= case.clock.second(batch.start),
                f"batch {batch.id} is packed {case.clock.say(case.clock.second(batch.start))}; order line {line.line} "
                f"opens {order.opens}",
            )
        if batch.parts > 1:
            inside[line.line, batch.part].add((tuple(sorted(units.items())), tuple(sorted(beside.items()))))
            continue
        notes.expect(
            dict(units_of(order)) == units and dict(pieces_of(campaign, order)) == beside,
            f"batch {batch.id}: its parcels do not hold what order line {line.line} asks for",
        )


def _without_carton(case: Case, batch: PackBatch, pieces: dict[str, int], notes: Findings) -> dict[str, int]:
    """The pieces beside the one carton each parcel takes, where its tier chooses cartons; the carton is looked at."""
    offered = case.campaign.tiers[batch.tier].cartons if batch.tier in case.campaign.tiers else []
    if not offered:
        return pieces
    taken = {piece: count for piece, count in pieces.items() if piece in offered}
    notes.expect(
        list(taken.values()) == [1],
        f"batch {batch.id}: each parcel takes one of {', '.join(offered)}, not {taken or 'none'}",
    )
    for carton in taken:
        for reason in carton_troubles(case.campaign, carton, batch, pieces):
            notes.fault(f"batch {batch.id}: {reason}")
    return {piece: count for piece, count in pieces.items() if piece not in offered}


def region_of(case: Case, country: str) -> str:
    """The region whose parcels travel together with those to the country."""
    return next((name for name, countries in case.campaign.regions.items() if country in countries), "world")


def _dispatched(case: Case, notes: Findings) -> dict[str, Dispatch]:
    """Batch -> the one dispatch that takes it."""
    sent: dict[str, Dispatch] = {}
    batches = Counter(batch.id for batch in case.plan.batches)
    for name, times in batches.items():
        notes.expect(times == 1, f"{times} batches are called {name}")
    trips = Counter(name for dispatch in case.plan.dispatches for name in dispatch.batches)
    for name, times in Counter(dispatch.id for dispatch in case.plan.dispatches).items():
        notes.expect(times == 1, f"{times} dispatches are called {name}")
    for dispatch in case.plan.dispatches:
        for name in dispatch.batches:
            notes.expect(name in batches, f"dispatch {dispatch.id} takes batch {name}, which the plan does not have")
            sent[name] = dispatch
    for batch in case.plan.batches:
        notes.expect(
            trips[batch.id] == 1, f"batch {batch.id} is in {trips[batch.id]} dispatches; each parcel leaves once"
        )
        if batch.id not in sent:
            continue
        dispatch = sent[batch.id]
        notes.expect(
            batch.dispatch == dispatch.id,
            f"batch {batch.id} says it leaves with {batch.dispatch}, but {dispatch.id} takes it",
        )
        notes.expect(
            batch.carrier == dispatch.carrier,
            f"batch {batch.id} goes with `{batch.carrier}`, dispatch {dispatch.id} with `{dispatch.carrier}`",
        )
        packed, leaves = case.clock.second(batch.end), case.clock.second(dispatch.at)
        notes.expect(
            packed <= leaves,
            f"batch {batch.id} is packed {case.clock.say(packed)}, after dispatch {dispatch.id} left "
            f"{case.clock.say(leaves)}",
        )
    return sent


def _pick_up(case: Case, dispatch: Dispatch, notes: Findings) -> None:
    """On a pick-up day at the pick-up time, within capacity, parcels counted right."""
    rule, at = pick_ups_of(case, dispatch.carrier), case.clock.second(dispatch.at)
    if rule is None:
        notes.fault(f"dispatch {dispatch.id}: `{dispatch.carrier}` is no carrier of the campaign")
        return
    room, day = rule.parcels, local_calendar(case.campaign, case.campaign.packing, case.clock)[0].day(at)
    notes.expect(
        is_pick_up_day(case, rule, day) and at == pick_up_on(case, rule, day),
        f"dispatch {dispatch.id}: nobody picks up on {case.clock.say(at)}",
    )
    notes.expect(case.clock.well_written(dispatch.at), f"dispatch {dispatch.id}: its moment lacks the zone's offset")
    twins = sum(
        case.clock.second(other.at) == at and other.carrier == dispatch.carrier for other in case.plan.dispatches
    )
    notes.expect(twins == 1, f"{twins} dispatches share the pick-up {case.clock.say(at)}")
    size = {batch.id: batch.parcels for batch in case.plan.batches}
    parcels = sum(size.get(name, 0) for name in dispatch.batches)
    notes.expect(
        parcels == dispatch.parcels,
        f"dispatch {dispatch.id}: its batches hold {parcels} parcels, the plan says {dispatch.parcels}",
    )
    notes.expect(parcels <= room, f"dispatch {dispatch.id}: {parcels} parcels, a pick-up takes at most {room}")


def is_pick_up_day(case: Case, pick_ups: PickUps, day: date) -> bool:
    """Whether parcels are picked up that day."""
    if day in pick_ups.on_dates:
        return True
    closed = day in pick_ups.not_on or day in local_calendar(case.campaign, case.campaign.packing, case.clock)[1]
    return WEEKDAYS[day.weekday()] in pick_ups.days and not closed


def pick_up_on(case: Case, pick_ups: PickUps, day: date) -> int:
    """Second of the pick-up on that day, by the clock where parcels are packed."""
    hour, minute = pick_ups.time.split(":")
    clock, _ = local_calendar(case.campaign, case.campaign.packing, case.clock)
    return clock.at(wall.combine(day, time(int(hour), int(minute))))


def _pick_ups_between(case: Case, rule: PickUps, first: int, last: int) -> Iterator[int]:
    """Pick-ups at or after `first` and before `last`."""
    clock = local_calendar(case.campaign, case.campaign.packing, case.clock)[0]
    day = clock.day(first)
    while day <= clock.day(last) and day - clock.day(first) <= HORIZON:
        if is_pick_up_day(case, rule, day) and first <= (at := pick_up_on(case, rule, day)) < last:
            yield at
        day += timedelta(days=1)


def _no_needless_wait(case: Case, sent: dict[str, Dispatch], notes: Findings) -> None:
    """A batch takes the first pick-up of its carrier that has room for the whole of it, after packing and after the
    waves before its own."""
    for trouble in waves_kept(case, sent):
        notes.fault(trouble)
    taken: Counter[tuple[str, int]] = Counter()
    for dispatch in case.plan.dispatches:
        taken[dispatch.carrier, case.clock.second(dispatch.at)] += dispatch.parcels
    for batch in case.plan.batches:
        rule = pick_ups_of(case, batch.carrier)
        if batch.id not in sent or rule is None:
            continue
        ready = max(case.clock.second(batch.end), wave_before(case, batch, sent))
        missed = [
            at
            for at in _pick_ups_between(case, rule, ready, case.clock.second(sent[batch.id].at))
            if taken[batch.carrier, at] + batch.parcels <= rule.parcels
        ]
        notes.expect(
            not missed,
            f"batch {batch.id} waits for dispatch {sent[batch.id].id}, though there is room on "
            f"{case.clock.say(missed[0]) if missed else ''}",
        )


def _tiers(case: Case, sent: dict[str, Dispatch], notes: Findings) -> None:
    """The dates each tier is told, from the dispatches of its batches."""
    leaving: dict[str, list[PackBatch]] = defaultdict(list)
    for batch in case.plan.batches:
        if batch.id in sent:
            leaving[batch.tier].append(batch)
    told = Counter(line.tier for line in case.plan.tiers)
    for tier in sorted(set(leaving) | set(told)):
        notes.expect(
            told[tier] == 1 and tier in leaving,
            f"tier `{tier}` must stand once in the dates, it stands {told[tier]} times",
        )
    rated = bool(case.campaign.carrier.rates) or any(own.rates for own in case.campaign.carriers.values())
    for line in case.plan.tiers:
        batches, campaign_tier = leaving.get(line.tier), case.campaign.tiers.get(line.tier)
        if not batches or campaign_tier is None:
            continue
        first, ours = _dates(case, batches, sent)
        theirs = (line.parcels, case.clock.second(line.last_dispatch), line.late_parcels, line.days_late)
        notes.expect(
            ours == theirs
            and first == case.clock.second(line.first_dispatch)
            and (line.promised, line.promised_to) == (campaign_tier.promised, campaign_tier.promised_to),
            f"tier `{line.tier}`: {ours[0]} parcels leave {case.clock.say(first)} to {case.clock.say(ours[1])}, "
            f"{ours[2]} late, the last {ours[3]} days; the plan's dates say otherwise",
        )
        if line.at_the_door is not None or rated:
            door = at_the_door(case, line.tier)
            notes.expect(
                line.at_the_door == door, f"tier `{line.tier}` is at the last door {door}, not {line.at_the_door}"
            )
        _regions(case, line, batches, sent, notes)
        _split(case, line, sent, notes)


def _dates(case: Case, batches: list[PackBatch], sent: dict[str, Dispatch]) -> tuple[int, tuple[int, int, int, int]]:
    """First dispatch; parcels, last dispatch, parcels that are late, days of the one that is latest."""
    leaves = [(batch, case.clock.second(sent[batch.id].at)) for batch in batches]
    late = [(batch.parcels, days_late(case, batch, at)) for batch, at in leaves]
    moments = [at for _, at in leaves]
    parcels = sum(batch.parcels for batch in batches)
    behind = sum(count for count, days in late if days), max(days for _, days in late)
    return min(moments), (parcels, max(moments), *behind)


def _regions(case: Case, line: TierDates, batches: list[PackBatch], sent: dict[str, Dispatch], notes: Findings) -> None:
    """What is told of each region, where a tier's promise speaks of regions or of the door."""
    tier = case.campaign.tiers[line.tier]
    asked = {batch.region for batch in batches} if tier.promised_in or tier.promised_to == "door" else set()
    told = [one.region for one in line.regions]
    notes.expect(sorted(asked) == sorted(told), f"tier `{line.tier}`: regions {told} are told, not {sorted(asked)}")
    for one in line.regions:
        mine = [batch for batch in batches if batch.region == one.region]
        if not mine:
            continue
        _, ours = _dates(case, mine, sent)
        promised = tier.promised_in.get(one.region, tier.promised)
        theirs = (one.parcels, case.clock.second(one.last_dispatch), one.late_parcels, one.days_late)
        notes.expect(
            ours == theirs and one.promised == promised and one.at_the_door == at_the_door(case, line.tier, one.region),
            f"tier `{line.tier}` to {one.region}: {ours[2]} of {ours[0]} parcels are late, the last {ours[3]} days; "
            "the plan says otherwise",
        )


def _split(case: Case, line: TierDates, sent: dict[str, Dispatch], notes: Findings) -> None:
    """What is told of a tier's split shipment: parcels, postage, by when first and last parts have left."""
    split = case.campaign.tiers[line.tier].split
    if split is None or line.split is None:
        if split is not None or line.split is not None:
            notes.fault(f"tier `{line.tier}`: whether it is split is not said as the campaign does")
        return
    own = [b for b in case.plan.batches if b.tier == line.tier and b.parts > 1 and b.id in sent]
    further = sum(b.parcels for b in own if b.part > 1)
    left = [
        max((case.clock.second(sent[b.id].at) for b in own if b.part == part(b)), default=None)
        for part in (lambda b: 1, lambda b: b.parts)
    ]
    told = [case.clock.second(m) if m else None for m in (line.split.first_parts, line.split.last_parts)]
    if (line.split.ship, line.split.orders, line.split.extra_parcels, told) != (
        split.ship,
        sum(b.parcels for b in own if b.part == b.parts),
        further,
        left,
    ) or not same(line.split.extra_postage, further * split.extra_postage, MONEY):
        notes.fault(
            f"tier `{line.tier}`: {further} parcels beyond their orders' first cost "
            f"{further * split.extra_postage:.2f} of postage; what the plan says of split shipment is otherwise"
        )
