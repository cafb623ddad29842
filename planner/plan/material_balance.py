"""Parts balance, material totals and bought-in pieces, written from the runs and the benches."""

from collections.abc import Iterable
from dataclasses import astuple
from datetime import datetime, timedelta

from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.materials import Bought
from planner.campaign.melts import let_down
from planner.campaign.products import Piece
from planner.demand.items import ItemDemand
from planner.demand.joint_confidence import chance_of_parts
from planner.demand.scrap import chance_of_good, lost, spoilt
from planner.demand.shared_parts import makers
from planner.material import (
    Delivery,
    PieceBuy,
    PieceTerms,
    PieceUse,
    WeightBuy,
    WeightTerms,
    WeightUse,
    buy_by_weight,
    buy_pieces,
    regrind,
)
from planner.material.piece_orders import cheapest_order, part_deliveries
from planner.material.trials import TrialTakes, taken_by_trials
from planner.plan.document import Assembly, Balance, FinishingJob, MadeWith, Material, PackBatch, PieceLot, PieceNeed
from planner.plan.runs import RunUse
from planner.schedule.encode import Names
from planner.schedule.encode.materials import COMPOUND, MaterialKind, bought_moment
from planner.schedule.encode.money import melt_uses

MELT_INSTEAD = " Or purge with melt, where the compound is not wanted always."


def balance(names: Names) -> list[Balance]:
    """Needed, moulded, surplus for every item, also those that stock covers."""
    made_with = makers(names.campaign)
    shots = {item.item: run.shots for run in names.runs for item in run.items}
    return [
        _shared_line(names, item)
        if item.shared
        else _line(names.campaign, next(iter(made_with.get(item.part, [])), None), item, shots.get(item.item, 0))
        for item in sorted(names.items.values(), key=lambda i: i.item)
    ]


def _shared_line(names: Names, item: ItemDemand) -> Balance:
    """The line of an item that several tools make."""
    campaign = names.campaign
    made_with = [
        MadeWith(
            tool=run.tool,
            shots=run.shots,
            cavities=campaign.tools[run.tool].open_cavities(item.part),
            scrap_share=campaign.tools[run.tool].scrap_share,
            counted_on=share.to_mould,
        )
        for run in names.runs
        for share in run.items
        if share.item == item.item
    ]
    moulded = {one.tool: one.shots * one.cavities for one in made_with}
    good = sum(moulded[one.tool] * (1 - one.scrap_share) for one in made_with)
    line = _line(campaign, made_with[0].tool, item, 0)
    expected = good * (1 - line.finishing_scrap)
    needed = item.to_mould + item.tests
    return line.model_copy(
        update={
            "shots": sum(one.shots for one in made_with),
            "scrap_share": 1 - good / sum(moulded.values()),
            "counted_on": item.to_mould,
            "expected": expected,
            "surplus": expected - needed,
            "confidence": chance_of_parts(campaign, item.part, moulded, needed),
            "made_with": made_with,
        }
    )


def _line(campaign: Campaign, tool: str | None, item: ItemDemand, shots: int) -> Balance:
    """tool: None where none makes the item, and stock covers it."""
    scrap = campaign.tools[tool].scrap_share if tool is not None else 0.0
    spoils = spoilt(campaign, item.part)
    needed, moulded = item.to_mould + item.tests, shots * item.cavities
    expected = moulded * (1 - lost(scrap, spoils))
    return Balance(
        part=item.part,
        colours=list(item.colours),
        ordered=item.ordered,
        spares=item.spares,
        stock=item.stock,
        to_mould=item.to_mould,
        shots=shots,
        cavities=item.cavities,
        scrap_share=scrap,
        counted_on=shots * item.to_mould // item.counting_shots if item.counting_shots else 0,
        expected=expected,
        surplus=expected - needed,
        confidence=chance_of_good(campaign, tool, moulded, needed, spoils) if tool is not None else 1.0,
        counting_shots=item.counting_shots,
        tests=item.tests,
        at_the_shot=item.taken,
        finishing_scrap=spoils,
    )


def materials(names: Names, uses: list[RunUse]) -> list[tuple[Material, WeightBuy]]:
    """One line per resin and masterbatch, with what is bought of it."""
    campaign = names.campaign
    shot_g = {tool: shot_mass_g(campaign, campaign.tools[tool]) for tool in names.tools}
    kept = regrind(
        melt_uses(campaign, names.runs, shot_g), {r: resin.regrind_share for r, resin in campaign.resins.items()}
    )
    found, trials = [], taken_by_trials(campaign)
    for kind, name in names.materials:
        for_trials = trials.get((kind, name), TrialTakes(0.0, 0.0)) if kind != COMPOUND else TrialTakes(0.0, 0.0)
        taken = [taken_by(campaign, kind, name, use) for use in uses]
        terms = material_terms(campaign, kind, name)
        drying = campaign.resins[name].drying_hours if kind == "resin" else 0.0
        fed = kept.get(name, 0.0) if kind == "resin" else 0.0
        weighed = _weight_terms(names, terms, drying, for_trials.from_stock)
        buy = buy_by_weight([t for t in taken if t is not None], weighed, names.start, fed)
        if buy.first_use is None:
            continue
        line = Material(
            kind=kind,
            id=name,
            moulded_kg=buy.moulded_kg,
            startup_kg=buy.startup_kg,
            purge_kg=buy.purge_kg,
            regrind_kg=buy.regrind_kg,
            used_kg=buy.used_kg,
            stock_kg=buy.stock_kg,
            trials_kg=for_trials.kg,
            trials_brought_kg=for_trials.kg - for_trials.from_stock,
            arriving_kg=buy.arriving_kg,
            bought_kg=buy.bought_kg,
            left_over_kg=buy.left_over_kg,
            price_per_kg=terms.price_per_kg,
            first_use=buy.first_use,
            order_by=buy.order_by,
            if_late=buy.if_late + (MELT_INSTEAD if kind == COMPOUND and buy.order_by else ""),
        )
        found.append((line, buy))
    return found


def material_terms(campaign: Campaign, kind: MaterialKind, name: str) -> Bought:
    """How a material is had."""
    if kind == COMPOUND:
        assert campaign.purging.compound is not None
        return campaign.purging.compound
    return campaign.resins[name] if kind == "resin" else campaign.colours[name]


def taken_by(campaign: Campaign, kind: MaterialKind, name: str, use: RunUse) -> WeightUse | None:
    """What one run takes of one material; None if nothing."""
    at = _begins(use)
    if kind == COMPOUND:
        return WeightUse(use.run.id, at, 0.0, 0.0, use.compound_kg) if use.compound_kg else None
    moulded = startup = restart = purge = 0.0
    later = 0.0
    touched = False
    if kind == "resin":
        first = use.first_closing_kg.get(name, 0.0)
        purge = use.bridge_kg.get(name, 0.0) + first
        later = use.closing_kg.get(name, 0.0) - first
        touched = purge + later > 0
    for b, melt in enumerate(use.run.melts):
        resin, colour = melt.rsplit("/", 1)
        master = let_down(campaign, resin, colour)
        share = (1 - master if resin == name else 0.0) if kind == "resin" else (master if colour == name else 0.0)
        if share > 0:
            touched = True
            moulded += share * use.moulded_kg[b]
            startup += share * (use.startup_kg[b] - use.restart_kg[b])
            restart += share * use.restart_kg[b]
            purge += share * (use.purge_kg[b] - use.opening_kg[b])
            later += share * use.opening_kg[b]
    if not touched:
        return None
    return WeightUse(use.run.id, at, moulded, startup, purge, restart, later)


def _begins(use: RunUse) -> datetime:
    return use.run.changeover.start if use.run.changeover else use.run.stretches[0].start


def _weight_terms(names: Names, terms: Bought, drying_hours: float, for_trials: float) -> WeightTerms:
    return WeightTerms(
        price_per_kg=terms.price_per_kg,
        stock_kg=terms.stock_kg - for_trials,
        deliveries=tuple(Delivery(names.clock.moment(names.clock.seconds(a.on)), a.amount) for a in terms.arrivals),
        lead_days=terms.lead_days,
        bag_kg=terms.bag_kg,
        min_order_kg=terms.min_order_kg,
        drying_hours=drying_hours,
    )


def pieces(
    names: Names,
    runs: list[RunUse],
    assembly: list[Assembly],
    batches: list[PackBatch],
    finishing: Iterable[FinishingJob] = (),
) -> list[tuple[PieceNeed, PieceBuy]]:
    """One line per bought-in piece that is used. finishing: what is put together before assembly takes its own then."""
    found = []
    sooner = {(one.assembly, name): one for one in finishing for put in one.puts for name in put.of}
    for name, piece in sorted(names.campaign.pieces.items()):
        uses = [
            PieceUse(taker.id, taker.start, job.units * number)
            for job in assembly
            if (number := names.campaign.products[job.product].pieces.get(name, 0))
            for taker in (sooner.get((job.id, name), job),)
        ]
        uses += [
            PieceUse(use.run.id, _begins(use), taken.number)
            for use in runs
            for taken in use.run.takes
            if taken.id == name and not taken.colours
        ]
        uses += [PieceUse(b.id, b.start, b.parcels * b.pieces[name]) for b in batches if b.pieces.get(name)]
        if uses:
            buy = buy_pieces(uses, _piece_terms(names, piece), names.start)
            line = PieceNeed(
                id=name,
                used=buy.used,
                stock=buy.stock,
                arriving=buy.arriving,
                bought=buy.bought,
                left_over=buy.left_over,
                price=buy.price,
                lots=[
                    PieceLot(on=buy.order_by + timedelta(days=days), pieces=n)
                    for days, n in part_deliveries(piece, buy.bought)
                ]
                if piece.comes_in and buy.order_by
                else [],
                first_use=buy.first_use,
                order_by=buy.order_by,
                if_late=buy.if_late,
            )
            found.append((line, buy))
    return found


def _piece_terms(names: Names, piece: Piece) -> PieceTerms:
    return PieceTerms(
        price=piece.price,
        stock=piece.stock,
        deliveries=(
            *(Delivery(names.clock.moment(names.clock.seconds(a.on)), a.amount) for a in piece.arrivals),
            *(Delivery(names.clock.moment(bought_moment(names.clock, o.lead_days)), o.pieces) for o in piece.also_from),
        ),
        order=lambda short: astuple(cheapest_order(piece, short)),
        part_deliveries=lambda pieces: part_deliveries(piece, pieces),
        lead_days=piece.lead_days,
        pack_of=piece.pack_of,
        min_order=piece.min_order,
    )
