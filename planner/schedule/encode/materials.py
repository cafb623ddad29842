"""Which materials melts are made of, and when each supply is dried and ready, as arrays."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import timedelta
from math import ceil
from typing import Any, Final, Literal

import numpy as np

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.campaign.materials import Bought
from planner.campaign.melts import let_down
from planner.campaign.purging import Compound
from planner.material.trials import taken_by_trials
from planner.schedule.encode.arrays import fraction
from planner.schedule.instance import Floats, Ints

DAY_S = 86400

MaterialKind = Literal["resin", "masterbatch", "purging compound"]
COMPOUND: Final = "purging compound"


@dataclass(frozen=True)
class Materials:
    """Resins first, then masterbatches, each sorted by id, then a purging compound; see Instance for the arrays."""

    names: list[tuple[MaterialKind, str]]
    """(kind, id)"""
    melt_resin: Ints
    melt_master: Ints
    melt_master_share: Floats
    supply_ptr: Ints
    supply_t: Ints
    supply_kg: Floats
    have: Floats
    bag_kg: Floats
    min_order_kg: Floats
    price: Floats

    def fields(self) -> dict[str, Any]:
        """Fields of an Instance."""
        return {
            "melt_resin": self.melt_resin,
            "melt_master": self.melt_master,
            "melt_master_share": self.melt_master_share,
            "supply_ptr": self.supply_ptr,
            "supply_t": self.supply_t,
            "supply_kg": self.supply_kg,
            "material_have": self.have,
            "bag_kg": self.bag_kg,
            "min_order_kg": self.min_order_kg,
            "material_price": self.price,
        }


def bought_moment(clock: Clock, lead_days: int) -> int:
    """Second at which something ordered on the campaign's first day is at the door: same wall-clock time."""
    start = clock.moment(0).replace(tzinfo=None)
    return clock.seconds(start + timedelta(days=lead_days))


def compound_to_plan(campaign: Campaign) -> Compound | None:
    """The campaign's purging compound, if there is or will be any of it."""
    compound = campaign.purging.compound
    return compound if compound is not None and compound.can_be_had else None


def materials(campaign: Campaign, melts: list[str], clock: Clock, clearing: Collection[str] = ()) -> Materials:
    """Compile the materials of `melts` (`resin/colour`), and resins that clear others."""
    split = [m.rsplit("/", 1) for m in melts]
    resins = sorted({*(r for r, _ in split), *clearing})
    masters = sorted({c for r, c in split if let_down(campaign, r, c) > 0})
    names: list[tuple[MaterialKind, str]] = [("resin", r) for r in resins]
    names += [("masterbatch", c) for c in masters]
    index = {name: n for n, name in enumerate(names)}
    bought: list[Bought] = [campaign.resins[r] for r in resins]
    bought += [campaign.colours[c] for c in masters]
    drying = [ceil(fraction(campaign.resins[r].drying_hours) * 3600) for r in resins] + [0] * len(masters)
    compound = compound_to_plan(campaign)
    if compound is not None:
        names.append((COMPOUND, compound.name))
        bought.append(compound)
        drying.append(0)

    pointers, moments, amounts = [0], [], []
    trials = taken_by_trials(campaign)
    stock = [
        terms.stock_kg - (trials[name].from_stock if name in trials else 0.0)
        for name, terms in zip(names, bought, strict=True)
    ]
    for terms, dry, have in zip(bought, drying, stock, strict=True):
        moments.append(0)
        amounts.append(have)
        latest = 0
        for arrival in sorted(terms.arrivals, key=lambda a: clock.seconds(a.on)):
            have += arrival.amount
            latest = max(0, clock.seconds(arrival.on) + dry)
            moments.append(latest)
            amounts.append(have)
        if terms.lead_days is not None:
            # Only once all agreed deliveries are in: before that, what is short is not known to be bought.
            moments.append(max(latest, bought_moment(clock, terms.lead_days) + dry))
            amounts.append(np.inf)
        pointers.append(len(moments))

    return Materials(
        names=names,
        melt_resin=np.array([index["resin", r] for r, _ in split], dtype=np.int64),
        melt_master=np.array(
            [index.get(("masterbatch", c), -1) if let_down(campaign, r, c) > 0 else -1 for r, c in split],
            dtype=np.int64,
        ),
        melt_master_share=np.array([let_down(campaign, r, c) for r, c in split]),
        supply_ptr=np.array(pointers, dtype=np.int64),
        supply_t=np.array(moments, dtype=np.int64),
        supply_kg=np.array(amounts, dtype=np.float64),
        have=np.array(
            [kg + sum(a.amount for a in t.arrivals) for kg, t in zip(stock, bought, strict=True)], dtype=np.float64
        ),
        bag_kg=np.array([t.bag_kg for t in bought], dtype=np.float64),
        min_order_kg=np.array([t.min_order_kg for t in bought], dtype=np.float64),
        price=np.array([t.price_per_kg for t in bought], dtype=np.float64),
    )
