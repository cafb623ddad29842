"""Presses and their barrels."""

from typing import Annotated

from pydantic import Field

from planner.campaign.base import Amount, Document, Id, Melt, Positive
from planner.campaign.hours import Open, WeeklyHours


class Barrel(Document):
    """One injection unit of a press."""

    holdup_kg: Positive = Field(description="melt the barrel holds, kg: decides what a colour change costs")
    shot_min_g: Amount = Field(default=0, description="smallest shot the barrel meters well, g")
    shot_max_g: Positive = Field(description="largest shot the barrel can inject, g")
    plasticising_kg_h: Positive | None = Field(
        default=None,
        description="polystyrene the screw melts in an hour, kg, as its data sheet says; none: by the barrel's size",
    )
    holds: Melt | None = Field(default=None, description="`resin/colour` in it at the start; none: see `clean`")
    clean: bool = Field(
        default=False,
        description="true: new, or stripped and cleaned, so that nothing is left of what it held. Where neither this "
        "nor `holds` is given, nobody knows: it is purged by the dearest it could be, and acetal and PVC do not go in",
    )
    unknown: bool = Field(
        default=False,
        description="true: nobody knows what it holds, as where neither `holds` nor `clean` is given; a plan made "
        "again from the floor's log says so where others worked on the press since the last entry",
    )
    has_held: list[Id] = Field(
        default=[],
        max_length=50,
        description="resins it held before that, since it was last stripped and cleaned: those that must never meet do "
        "not go in there, whatever was purged in between",
    )

    @property
    def unsaid(self) -> bool:
        """Whether nobody says what is in it, so that it is purged of whatever it could be."""
        return self.unknown or (self.holds is None and not self.clean)

    @property
    def resins_in_it(self) -> list[str]:
        """Every resin it holds or has held, each once."""
        return list(dict.fromkeys([*([self.holds.rpartition("/")[0]] if self.holds else []), *self.has_held]))


class StartedRun(Document):
    """A run the maker has fixed: this tool in these colours, on this press, in this place of its order."""

    tool: Id
    colours: list[Id] = Field(min_length=1, max_length=2, description="one colour per barrel of the tool")
    shots: Annotated[int, Field(ge=1, le=1_000_000_000)] | None = Field(
        default=None,
        description="how many of its shots are fixed here, where the tool's runs may be split; none: all of them",
    )


class LightsOut(Document):
    """A press that moulds on when the people have left."""

    hours: Positive = Field(description="at most so long after they left")
    bin_shots: Annotated[int, Field(ge=1, le=10_000_000)] | None = Field(
        default=None, description="shots that what it drops into takes; none: only the hours count"
    )


class OthersWork(Open):
    """When others work on a press, and what they leave in it. Their tool is then in it and their melt: ours is mounted
    anew, what they left is purged, and the first shots are scrapped again."""

    hours: WeeklyHours = Field(
        default={}, description='by weekday, cut out of the press\'s own hours, e.g. {"mon-thu": "14:00-22:00"}'
    )
    whenever_closed: bool = Field(
        default=False,
        description="true: whenever the press is not open for us; for a press that is ours only in booked hours",
    )
    leaves: list[Melt] = Field(
        default=[],
        max_length=2,
        description="`resin/colour` they leave, one per barrel; none: nobody knows, so the dearest purge is planned",
    )
    moulds: list[Id] = Field(
        default=[],
        max_length=50,
        description="every resin they put through it; asked for, with `leaves`, where acetal or PVC could go in",
    )

    @property
    def resins(self) -> list[str]:
        """Every resin that they are said to put through it, each once."""
        return list(dict.fromkeys([*(melt.rpartition("/")[0] for melt in self.leaves), *self.moulds]))


class Charges(Document):
    """What a moulder charges for a press beside its hours. Money in the campaign's currency."""

    changeover: Amount = Field(default=0, description="money for each changeover")
    colour_change: Amount = Field(default=0, description="money for each changeover that purges anything, on top")
    shift: Amount = Field(default=0, description="money for each shift in which anything is worked")
    shift_hours: Annotated[float, Field(gt=0, le=24)] = Field(
        default=8, description="hours of a shift, counted from each opening of the press"
    )
    a_piece: dict[Id, Amount] = Field(
        default={}, max_length=1000, description="part -> money for each piece moulded of it, good or not"
    )
    least_a_run: Amount = Field(
        default=0,
        description="least that a run is billed, its hours, energy, pieces and changeover together; shifts apart",
    )


class Press(Open):
    """An injection moulding machine."""

    barrels: list[Barrel] = Field(min_length=1, max_length=2, description="the first barrel first")
    clamp_kn: Positive = Field(description="clamp force, kN")
    rate_per_hour: Amount = Field(default=0, description="money per working hour (changeovers and runs)")
    charges: Charges | None = Field(
        default=None, description="what its moulder charges beside the hours; none: nothing"
    )
    draws_kw: Amount = Field(
        default=0, description="power it draws while it works, kW, paid at the floor's `price_per_kwh`"
    )
    efficiency: Annotated[float, Field(ge=0.01, le=1)] = Field(
        default=0.9, description="share of a working hour that makes shots (0.9: common practice)"
    )
    restart_minutes: Amount = Field(
        default=20, description="warm-up each time the press opens cold, minutes (20: common practice)"
    )
    heats_c_per_minute: Positive = Field(
        default=5, description="how fast a barrel heats, degrees C a minute (5: common practice)"
    )
    cools_c_per_minute: Positive = Field(
        default=3, description="how fast a barrel cools, degrees C a minute (3: common practice)"
    )
    lights_out: LightsOut | None = Field(
        default=None,
        description="where `floor.attended` is said: it moulds on after those hours; none: only while somebody is in",
    )
    others: list[OthersWork] = Field(
        default=[],
        max_length=50,
        description="others' work on it; hours in which it is merely closed do not stand here",
    )
    place: Id | None = Field(default=None, description="one of `places`; none: it stands on our own floor")
    tool: Id | None = Field(default=None, description="the tool mounted at the start")
    begins_with: list[StartedRun] = Field(
        default=[], max_length=200, description="runs begun or pinned: first on this press, in this order"
    )

    @property
    def resins_of_others(self) -> list[str]:
        """Every resin that others are said to put through it, each once."""
        return list(dict.fromkeys(name for others in self.others for name in others.resins))
