"""Material: what to buy and by when, regrind, drying.

Fed by a finished schedule's use; knows nothing of how the schedule was found.
"""

from planner.material.buying import buy_by_weight, buy_pieces
from planner.material.drying import Drying, DryingDraw, DryingLoad, drying_loads
from planner.material.regrind import generations, regrind
from planner.material.terms import (
    Delivery,
    MeltUse,
    PieceBuy,
    PieceTerms,
    PieceUse,
    WeightBuy,
    WeightTerms,
    WeightUse,
)

__all__ = [
    "Delivery",
    "Drying",
    "DryingDraw",
    "DryingLoad",
    "MeltUse",
    "PieceBuy",
    "PieceTerms",
    "PieceUse",
    "WeightBuy",
    "WeightTerms",
    "WeightUse",
    "buy_by_weight",
    "buy_pieces",
    "drying_loads",
    "generations",
    "regrind",
]
