"""What the maker knows about purging: figures for pairs, and the log of real changes."""

from datetime import date
from typing import Annotated

from pydantic import Field

from planner.campaign.base import Amount, Count, Document, Id, Melt, Positive

RESIN_CHANGE_HOLDUPS = 4.0
"""Hold-ups that clear one resin by another where nothing better is known; common practice, no source."""


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
    tool: Id | None = None
    shot_g: Positive | None = Field(default=None, description="melt of one of those shots, g, instead of the tool")
    on: date | None = None
    clean: bool = Field(default=True, description="false: stopped before the colour was clean; kept, not counted")
    compound: bool = Field(default=False, description="true: a purging compound was used; kept, not counted")
    confirmed: bool = Field(default=False, description="true: looked at again and right, however far out it is")


class ResinChangeGiven(Document):
    """Hold-ups the maker counts on for one ordered pair of resins, whatever their colours."""

    model_config = Document.model_config | {"populate_by_name": True}

    from_: Id = Field(alias="from", description="resin that was in the barrel")
    to: Id = Field(description="resin that comes")
    holdups: Amount


class Compound(Document):
    """A purging compound the maker could use. The plan purges with melt and says where the compound would pay."""

    price_per_kg: Amount
    holdups: Positive = Field(default=1.5, description="hold-ups of compound a change takes (common practice)")
    rinse_holdups: Amount = Field(
        default=2.0, description="hold-ups of the new melt that rinse it out (common practice)"
    )


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
    compound: Compound | None = Field(default=None, description="a purging compound that is at hand")
    visible_tolerance: Positive = Field(default=1.0, description="CIEDE2000 a visible face may be off the clean colour")
    hidden_tolerance: Positive = Field(default=3.0, description="CIEDE2000 a hidden part may be off")
