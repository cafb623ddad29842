"""Customs facts by destination: what leaves for where, its value and weight, and what paper it asks for.

Facts for whoever fills in the declaration, not a customs ruling. Sources: ISO 3166-1 for destinations;
Universal Postal Convention forms CN 22 (letter post up to 300 SDR and 2 kg) and CN 23 (above either).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from planner.dispatch.countries import EU_MEMBERS, NAMES

CLOSING = "The customs offices' and the carrier's rules, local codes and licensed practice come first."

CN22_LARGEST_SDR = 300.0
CN22_LARGEST_KG = 2.0


@dataclass(frozen=True)
class GoodsLine:
    """One kind of goods in a parcel. value: whole line, campaign currency; net_kg: whole line.

    commodity: HS code, six digits or more, "" where not given; origin: ISO alpha-2 of manufacture.
    """

    description: str
    quantity: int
    value: float
    net_kg: float
    commodity: str = ""
    origin: str = ""


@dataclass(frozen=True)
class DeclaredParcel:
    """What customs can ask about one parcel. gross_kg with carton and padding."""

    destination: str
    gross_kg: float
    goods: tuple[GoodsLine, ...]

    @property
    def value(self) -> float:
        """Value of all goods, campaign currency."""
        return sum(line.value for line in self.goods)


@dataclass(frozen=True)
class DestinationFacts:
    """All parcels for one country. Values in campaign currency, weights in kg.

    crosses: whether a customs border lies between; missing: what a declaration would still need.
    forms: parcels by postal form (CN 22, CN 23); empty without a border or without an SDR rate.
    """

    destination: str
    name: str
    parcels: int
    value: float
    gross_kg: float
    dearest: float
    heaviest_kg: float
    crosses: bool
    forms: dict[str, int]
    missing: tuple[str, ...]


def border_between(origin: str, destination: str) -> bool:
    """Whether goods from origin to destination (ISO alpha-2) meet a customs border, as far as codes tell.

    Inside one country and between EU members: no. Special territories of a member with a code of their own
    count as a border, since they lie outside its VAT area; regions without a code cannot be told apart.
    """
    for code in (origin, destination):
        if code not in NAMES:
            raise ValueError(f"{code!r} is not an ISO 3166-1 alpha-2 code")
    return origin != destination and not {origin, destination} <= EU_MEMBERS


def postal_form(value: float, gross_kg: float, sdr_rate: float) -> str:
    """CN 22 or CN 23 for a postal item. sdr_rate: campaign currency for one special drawing right."""
    small = value <= CN22_LARGEST_SDR * sdr_rate and gross_kg <= CN22_LARGEST_KG
    return "CN 22" if small else "CN 23"


def facts_by_destination(
    parcels: Iterable[DeclaredParcel], origin: str, sdr_rate: float | None = None
) -> tuple[DestinationFacts, ...]:
    """Sum parcels by destination, in order of code. Raises ValueError for a code outside ISO 3166-1."""
    by_code: dict[str, list[DeclaredParcel]] = {}
    for parcel in parcels:
        by_code.setdefault(parcel.destination, []).append(parcel)
    return tuple(_facts(code, by_code[code], origin, sdr_rate) for code in sorted(by_code))


def _facts(code: str, parcels: list[DeclaredParcel], origin: str, sdr_rate: float | None) -> DestinationFacts:
    crosses = border_between(origin, code)
    forms: dict[str, int] = {}
    missing: set[str] = set()
    if crosses:
        for parcel in parcels:
            if sdr_rate is not None:
                form = postal_form(parcel.value, parcel.gross_kg, sdr_rate)
                forms[form] = forms.get(form, 0) + 1
            missing |= {f"commodity code of {g.description}" for g in parcel.goods if not g.commodity}
            missing |= {f"country of origin of {g.description}" for g in parcel.goods if not g.origin}
    return DestinationFacts(
        destination=code,
        name=NAMES[code],
        parcels=len(parcels),
        value=sum(parcel.value for parcel in parcels),
        gross_kg=sum(parcel.gross_kg for parcel in parcels),
        dearest=max(parcel.value for parcel in parcels),
        heaviest_kg=max(parcel.gross_kg for parcel in parcels),
        crosses=crosses,
        forms=dict(sorted(forms.items())),
        missing=tuple(sorted(missing)),
    )
