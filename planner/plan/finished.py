"""Plan parts about what is done to parts between press and assembly."""

from datetime import datetime

from pydantic import Field

from planner.plan.base import PlanPart


class FinishedPart(PlanPart):
    """Parts of one item that a bench works on for one assembly job."""

    part: str
    colours: list[str]
    what: list[str] = Field(description="the steps, in words")
    good: int = Field(description="parts that are good after all of their steps")
    goes_in: float = Field(description="parts that go in on average, what is spoilt included")
    colour: str | None = Field(default=None, description="the colour it gives them; null: none")


class PutTogether(PlanPart):
    """A sub-assembly that a bench puts together for one assembly job."""

    what: str
    units: int = Field(description="for which it is put together; those for which it is in hand left out")
    of: dict[str, int] = Field(description="part or bought-in piece -> how many go into it for one unit")


class FinishingJob(PlanPart):
    """Work of a bench between press and assembly on the parts of one assembly job."""

    id: str
    bench: str
    assembly: str = Field(description="the assembly job that takes the parts")
    parts: list[FinishedPart]
    puts: list[PutTogether] = Field(default=[], description="sub-assemblies that it puts together")
    start: datetime
    end: datetime
    rested: datetime = Field(description="when the parts may go on")
    person_minutes: float


class LotVisit(PlanPart):
    """A lot at another firm, or on its way here from another place, or there."""

    firm: str = Field(description="the firm, or the place")
    what: list[str] = Field(description="the steps, in words")
    parts: int = Field(description="that go there, what will be spoilt included")
    leaves: datetime
    back: datetime = Field(description="when it is here; of a way from here to a place: there")
    price: float = Field(description="for the parts and the way")


class CarriedLot(PlanPart):
    """What a bench is done with, on its way to a bench at another place."""

    of: str = Field(description="job of a bench before assembly; pack batch: all its units, assembled")
    to: str = Field(description="the job of the bench that takes it next: before assembly, assembly job, pack batch")
    units: int = Field(description="for which it is; those in hand too")
    ready: datetime = Field(description="when it may leave: the work before is done, and has rested")
    visits: list[LotVisit] = Field(description="its ways, from one place to another by way of our floor")

    @property
    def there(self) -> datetime:
        """When it has arrived."""
        return self.visits[-1].back if self.visits else self.ready


class FinishingLot(PlanPart):
    """Parts that travel to other firms together."""

    id: str
    part: str
    colours: list[str]
    tool: str | None = Field(
        default=None, description="where a part is moulded at several places: whose parts these are; none: all tools'"
    )
    good: int = Field(description="parts that are good after all of their steps")
    complete: datetime = Field(description="its last part is moulded and rested")
    visits: list[LotVisit]
    there: datetime = Field(description="back from the last of them, and rested; where it is taken to a place: there")
    in_colours: dict[str, int] = Field(
        default={},
        description="where a firm gives the colour: colour -> good parts, as they are allotted; `spare`: not asked for",
    )
