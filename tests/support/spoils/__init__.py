"""Ways to spoil a good plan, each with the rule that must catch it."""

from tests.support.spoils import average, bench_work, drying, heat, money, moulding, parcels, parts, saying, setting_up
from tests.support.spoils.ways import WAYS, NoPlace, Spoilt, Way, spoil

__all__ = [
    "WAYS",
    "NoPlace",
    "Spoilt",
    "Way",
    "average",
    "bench_work",
    "drying",
    "heat",
    "money",
    "moulding",
    "parcels",
    "parts",
    "saying",
    "setting_up",
    "spoil",
]
