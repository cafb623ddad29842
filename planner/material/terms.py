"""What the buying sums take and give. Moments are aware, in the campaign's time zone; masses are kg."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class Delivery:
    """A delivery already agreed: kilograms, or pieces."""

    at: datetime
    amount: float


@dataclass(frozen=True)
class WeightTerms:
    """How a resin or masterbatch is had.

    lead_days: calendar days from order to door; None: no more can be bought.
    drying_hours: between the door (or the bag) and the hopper.
    """

    price_per_kg: float = 0.0
    stock_kg: float = 0.0
    deliveries: tuple[Delivery, ...] = ()
    lead_days: int | None = None
    bag_kg: float = 25.0
    min_order_kg: float = 0.0
    drying_hours: float = 0.0


@dataclass(frozen=True)
class PieceTerms:
    """How a bought-in piece is had.

    order: what is short -> (pieces, price each) of the order; None: packs and minimum at the one price.
    part_deliveries: pieces -> (days after the order, pieces) of each; None: all after lead_days.
    """

    price: float = 0.0
    stock: int = 0
    deliveries: tuple[Delivery, ...] = ()
    lead_days: int | None = None
    pack_of: int = 1
    min_order: int = 0
    order: Callable[[int], tuple[int, float]] | None = None
    part_deliveries: Callable[[int], list[tuple[int, int]]] | None = None


@dataclass(frozen=True)
class WeightUse:
    """Kilograms that must be there, dried, when a run (with its changeover) starts.

    run: the run's id, for the words that tell what waits for a late delivery.
    startup_kg: of the changeover. restart_kg: start-up shots of cold restarts; closing_kg: what clears its melt before
    closings after the first, and purges that out again. Both are taken as the run goes on: its own start doesn't ask
    for them, later ones find them gone.
    """

    run: str
    at: datetime
    moulded_kg: float
    startup_kg: float = 0.0
    purge_kg: float = 0.0
    restart_kg: float = 0.0
    closing_kg: float = 0.0

    @property
    def later_kg(self) -> float:
        """What it takes after its start, kg."""
        return self.restart_kg + self.closing_kg

    @property
    def kg(self) -> float:
        """What must be there at its start, kg."""
        return self.moulded_kg + self.startup_kg + self.purge_kg


@dataclass(frozen=True)
class PieceUse:
    """Pieces taken when an assembly job or pack batch starts. job: its id."""

    job: str
    at: datetime
    count: int


@dataclass(frozen=True)
class MeltUse:
    """What one melt (resin and colour) was moulded into: kg of production shots, and kg of that in runners."""

    resin: str
    colour: str
    moulded_kg: float
    runner_kg: float


@dataclass(frozen=True)
class WeightBuy:
    """One line of the buying list, by weight: used = moulded + start-up + purge - regrind.

    startup_kg: restarts too. bought_kg covers, at every start, all that has been used by then *without* regrind: no run
    waits for ground runners.
    left_over_kg: stock + arriving + bought - used, kg. left_over_cost: of what was bought and is not used, in money.
    short_from: the first start that stock and agreed deliveries don't cover; None: nothing to buy.
    order_by: last day to order it, so that it is dried at short_from; not before the campaign's first day.
    if_late: what then happens, in words.
    """

    moulded_kg: float
    startup_kg: float
    purge_kg: float
    regrind_kg: float
    used_kg: float
    stock_kg: float
    arriving_kg: float
    bought_kg: float
    left_over_kg: float
    left_over_cost: float
    first_use: datetime | None
    short_from: datetime | None
    order_by: date | None
    if_late: str


@dataclass(frozen=True)
class PieceBuy:
    """One line of the buying list, by the piece. Fields as in WeightBuy; price of each piece bought."""

    used: int
    stock: int
    arriving: int
    bought: int
    left_over: int
    left_over_cost: float
    price: float
    first_use: datetime | None
    short_from: datetime | None
    order_by: date | None
    if_late: str
