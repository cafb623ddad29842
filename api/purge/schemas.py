"""What the purge endpoints say, as models."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from planner.purge.basis import Basis
from planner.purge.finish import finish_cautions
from planner.purge.log import SetAside
from planner.purge.table import PurgeTable

NOTE = "A planning figure with a range, never a promise: a good purge log makes it better."


class PurgeAnswer(BaseModel):
    """Base of all answers: written by our names, read by either."""

    model_config = ConfigDict(populate_by_name=True)


class MeltSaid(PurgeAnswer):
    """A melt asked about."""

    melt: str = Field(description="`resin/colour`")
    hex: str = Field(description="its colour for a screen")
    lightness: float = Field(description="CIELAB L*, 0 black to 100 white")
    finish: str
    cautions: list[str] = Field(description="what finish and strength want one to mind (common practice, no source)")


class ColourChange(PurgeAnswer):
    """What one change costs."""

    from_: str = Field(alias="from")
    to: str
    kg: float = Field(description="everything shot to waste, compound included")
    kg_p10: float
    kg_p90: float
    compound_kg: float
    shots: int = Field(description="through the tool, to clear its hot runner; a barrel is purged into the open")
    minutes: float
    money: float = Field(description="melt, compound, disposal, and press and setter while it lasts")
    basis: Literal["none", "estimated", "given", "measured"]
    because: str = Field(description="what the figure rests on, in words")


class BarrelSaid(PurgeAnswer):
    """The barrel, and what its log says of it."""

    press: str
    barrel: int
    holdup_kg: float
    hot_runner_kg: float
    factor: float = Field(description="the barrel's own factor on every estimate; 1: the usual barrel")
    factor_p10: float
    factor_p90: float
    entries: int = Field(description="log entries the factor rests on")
    trust: float = Field(description="0: nothing logged; 1: the log alone")


class SetAsideSaid(PurgeAnswer):
    """A log entry that is kept but not counted."""

    entry: str = Field(description="its place in the log counted, from 0: the question's first, then the workshop's")
    from_: str = Field(alias="from")
    to: str
    reason: str


class ColourChanges(PurgeAnswer):
    """Every ordered pair of the melts asked about, by row: all changes from the first melt, from the second, ..."""

    currency: str
    barrel: BarrelSaid
    melts: list[MeltSaid]
    changes: list[ColourChange]
    set_aside: list[SetAsideSaid]
    note: str = NOTE


def colour_changes(table: PurgeTable, currency: str, press: str, barrel: int) -> ColourChanges:
    """The table as the API says it."""
    figures = table.figures
    span = range(len(figures.melts))
    return ColourChanges(
        currency=currency,
        barrel=barrel_said(table, press, barrel),
        melts=melts_said(table),
        changes=[colour_change(table, old, new) for old in span for new in span if old != new],
        set_aside=[set_aside_said(one) for one in figures.log.set_aside],
    )


def melts_said(table: PurgeTable) -> list[MeltSaid]:
    found = []
    for melt in table.figures.melts:
        look = melt.appearance
        found.append(
            MeltSaid(
                melt=f"{melt.resin}/{melt.colour}",
                hex=look.hex if look else "#808080",
                lightness=round(look.lab[0], 1) if look else 50.0,
                finish=look.finish if look else "solid",
                cautions=finish_cautions(look.finish, look.lab, strength=look.strength) if look else [],
            )
        )
    return found


def barrel_said(table: PurgeTable, press: str, barrel: int) -> BarrelSaid:
    fit, held = table.figures.fit, table.figures.barrel
    return BarrelSaid(
        press=press,
        barrel=barrel,
        holdup_kg=held.hold_up_kg,
        hot_runner_kg=held.hot_runner_kg,
        factor=round(fit.factor, 4),
        factor_p10=round(fit.low, 4),
        factor_p90=round(fit.high, 4),
        entries=fit.entries,
        trust=round(fit.trust, 4),
    )


def colour_change(table: PurgeTable, old: int, new: int) -> ColourChange:
    """One cell of the table."""
    figures = table.figures
    names = [f"{melt.resin}/{melt.colour}" for melt in (figures.melts[old], figures.melts[new])]
    basis = Basis(int(figures.basis[old, new]))
    because = figures.explain(old, new)
    if figures.barrel.hot_runner_kg > 0 and basis in (Basis.MEASURED, Basis.GIVEN):
        because += "; the hot runner's share is estimated"
    return ColourChange.model_validate(
        {
            "from": names[0],
            "to": names[1],
            "kg": round(float(figures.kg[old, new]), 3),
            "kg_p10": round(float(figures.low[old, new]), 3),
            "kg_p90": round(float(figures.high[old, new]), 3),
            "compound_kg": round(float(figures.compound_kg[old, new]), 3),
            "shots": int(table.shots[old, new]),
            "minutes": round(float(table.minutes[old, new]), 2),
            "money": round(float(table.money[old, new]), 2),
            "basis": basis.label,
            "because": because,
        }
    )


def set_aside_said(one: SetAside) -> SetAsideSaid:
    old, new = one.entry.old, one.entry.new
    return SetAsideSaid.model_validate(
        {
            "entry": one.entry.id,
            "from": f"{old.resin}/{old.colour}",
            "to": f"{new.resin}/{new.colour}",
            "reason": one.reason,
        }
    )
