"""What the maker knows about purging: figures for pairs, and the log of real changes."""

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from planner.campaign.base import Amount, Count, Document, Id, Melt, Positive
from planner.campaign.materials import Bought

RESIN_CHANGE_HOLDUPS = 4.0
"""Hold-ups that clear one resin by another where nothing better is known; common practice, no source."""


COMPOUND_HOLDUPS = 1.5
COMPOUND_RINSE_HOLDUPS = 2.0
"""Hold-ups of a purging compound, and of the new melt that rinses it out; common practice, no source."""

BRIDGE_HOLDUPS = 3.0
CLOSING_HOLDUPS = 3.0
"""Hold-ups of a resin that goes between two others, and of one that clears what must not stand; common practice, no
source."""

MOST_SHOTS = 10_000_000
"""More shots than this are no purge."""


class PurgeGiven(Document):
    """A figure given for one ordered pair of melts, for every barrel or for one."""

    model_config = Document.model_config | {"populate_by_name": True}

    from_: Melt = Field(alias="from")
    to: Melt
    kg: Amount = Field(description="melt shot to waste until clean, kg")
    press: Id | None = Field(default=None, description="none: on every press")
    barrel: Annotated[int, Field(ge=1, le=2)] | None = Field(default=None, description="1 or 2; none: both")


class PurgeLogged(Document):
    """One real colour change: what was purged until the parts were clean."""

    model_config = Document.model_config | {"populate_by_name": True}

    press: Id
    barrel: Annotated[int, Field(ge=1, le=2)] = 1
    from_: Melt = Field(alias="from")
    to: Melt
    kg: Amount | None = Field(default=None, description="give kg, or shots with their tool or mass")
    shots: Count | None = None
    tool: Id | None = Field(
        default=None, description="the tool it was purged through; its hot runner is then counted as cleared with it"
    )
    shot_g: Positive | None = Field(default=None, description="melt of one of those shots, g, instead of the tool")
    on: date | None = None
    clean: bool = Field(default=True, description="false: stopped before the colour was clean; kept, not counted")
    compound: bool = Field(
        default=False,
        description="true: a purging compound was used; kg counts it and the melt that rinsed it out, and the entry "
        "counts for the compound's figures, not for those of purging with melt",
    )
    confirmed: bool = Field(default=False, description="true: looked at again and right, however far out it is")


class ResinChangeGiven(Document):
    """Hold-ups the maker counts on for one ordered pair of resins, whatever their colours."""

    model_config = Document.model_config | {"populate_by_name": True}

    from_: Id = Field(alias="from", description="resin that was in the barrel")
    to: Id = Field(description="resin that comes")
    holdups: Amount


CompoundUse = Literal["cheapest", "never", "always"]
"""cheapest: where it serves the plan's aim better than melt alone; always: wherever it is fit for the resins."""


class CompoundRule(Document):
    """When the compound is used in a place or for a pair of melts; what is left out stands for any.

    A rule that names a press is about its barrels; a tool's hot runner may come to another press.
    """

    model_config = Document.model_config | {"populate_by_name": True}

    use: CompoundUse
    press: Id | None = None
    barrel: Annotated[int, Field(ge=1, le=2)] | None = Field(default=None, description="1 or 2; none: both")
    from_: Melt | None = Field(default=None, alias="from")
    to: Melt | None = None


class CompoundGiven(Document):
    """What one ordered pair of melts takes of the compound in a barrel; a hot runner goes by hold-ups."""

    model_config = Document.model_config | {"populate_by_name": True}

    from_: Melt = Field(alias="from")
    to: Melt
    kg: Positive = Field(description="compound, kg")
    rinse_kg: Amount = Field(description="new melt that rinses it out, kg")
    soak_minutes: Amount | None = Field(default=None, description="none: the compound's own")
    press: Id | None = Field(default=None, description="none: on every press")
    barrel: Annotated[int, Field(ge=1, le=2)] | None = Field(default=None, description="1 or 2; none: both")


class Compound(Bought):
    """A purging compound. The plan uses it where its rule says so and it is there; else it purges with melt."""

    name: Id = "purging-compound"
    price_per_kg: Amount
    holdups: Positive = Field(
        default=COMPOUND_HOLDUPS, description="hold-ups of compound a change takes (common practice)"
    )
    rinse_holdups: Amount = Field(
        default=COMPOUND_RINSE_HOLDUPS, description="hold-ups of the new melt that rinse it out (common practice)"
    )
    soak_minutes: Amount = Field(default=0, description="minutes the barrel stands hot with the compound in it")
    resins: list[Id] = Field(default=[], max_length=200, description="resins it is fit for, old and new; none: all")
    hot_runners: bool = Field(default=False, description="true: its supplier allows it in hot runners")
    # Its title names it in generated clients, where Compound + Use would be the plan's CompoundUse.
    use: CompoundUse = Field(default="cheapest", title="Usually")
    rules: list[CompoundRule] = Field(
        default=[], max_length=1000, description="the closest fitting one goes before `use`"
    )
    given: list[CompoundGiven] = Field(default=[], max_length=1000, description="figures for pairs, before hold-ups")
    cautions: list[Annotated[str, Field(min_length=1, max_length=300)]] = Field(
        default=[], max_length=10, description="from its safety data sheet; shown wherever it is used"
    )


def entries_of(compound: Compound) -> list[tuple[str, int, CompoundGiven | CompoundRule]]:
    """(field, place in it, entry) of everything said of single pairs and places."""
    given = [("given", n, entry) for n, entry in enumerate(compound.given)]
    return [*given, *(("rules", n, entry) for n, entry in enumerate(compound.rules))]


class Purging(Document):
    """How purge is figured: measured before given before estimated."""

    given: list[PurgeGiven] = Field(default=[], max_length=10_000)
    log: list[PurgeLogged] = Field(default=[], max_length=10_000)
    resin_change_holdups: Positive = Field(
        default=RESIN_CHANGE_HOLDUPS,
        description="hold-ups to clear one resin by another where nothing better is known (common practice)",
    )
    resin_changes: list[ResinChangeGiven] = Field(
        default=[], max_length=1000, description="hold-ups for pairs of resins, before the general figure"
    )
    compound: Compound | None = Field(default=None, description="a purging compound, in hand or to be bought")
    air_shot_share: Annotated[float, Field(gt=0, le=1)] = Field(
        default=0.5,
        description="share of its plasticising rate at which a barrel is purged into the open, in air shots "
        "(0.5: common practice, no source)",
    )
    bridge_holdups: Positive = Field(
        default=BRIDGE_HOLDUPS,
        description="hold-ups of the resin that goes between two whose melt temperatures do not meet (common practice)",
    )
    closing_holdups: Positive = Field(
        default=CLOSING_HOLDUPS,
        description="hold-ups of the resin that clears one which must not stand, before a closing (common practice)",
    )
    visible_tolerance: Positive = Field(default=1.0, description="CIEDE2000 a visible face may be off the clean colour")
    hidden_tolerance: Positive = Field(default=3.0, description="CIEDE2000 a hidden part may be off")
