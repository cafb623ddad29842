"""Wishes: what the maker wants of a plan beside the rules. Each is kept or refused, priced, taken back by itself."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from planner.campaign.base import Document, Id, When

WishKind = Literal["press", "not before", "done by", "order", "colour first", "together", "press free"]


class WishedRuns(Document):
    """Runs of a tool: in these colours, or all of them."""

    tool: Id
    colours: list[Id] = Field(
        default=[], max_length=2, description="one colour per barrel of the tool; none: all its runs"
    )


class Wish(Document):
    """One wish: `runs` with one of `press`, `not_before`, `done_by` or `then`; or `first_colour`, or `together`, or
    `press` with `free_from`."""

    runs: WishedRuns | None = Field(default=None, description="the runs it is about")
    press: Id | None = Field(
        default=None, description="with `runs`: the press they run on; else the press that is kept free, or that takes "
        "`first_colour` first (none: each press)"
    )  # fmt: skip
    not_before: When | None = Field(
        default=None, description="with `runs`: the day or moment before which none of them begins, changeover included"
    )
    done_by: When | None = Field(
        default=None, description="with `runs`: the moment, or the last day, by which all their shots are done"
    )
    then: WishedRuns | None = Field(
        default=None, description="with `runs`: what begins only when all of those are done"
    )
    first_colour: Id | None = Field(default=None, description="the colour that a press moulds before any other")
    together: list[WishedRuns] = Field(
        default=[], max_length=50, description="runs on one press, with no other run between them"
    )
    free_from: When | None = Field(
        default=None, description="with `press`: the day or moment from which it is kept free"
    )
    free_until: When | None = Field(
        default=None, description="with `free_from`: the moment, or the last day, until which; none: that one day"
    )
    why: Annotated[str, Field(max_length=200)] = Field(default="", description="a note for people")

    @property
    def kind(self) -> WishKind:
        """What is wished for."""
        if self.together:
            return "together"
        if self.first_colour is not None:
            return "colour first"
        if self.runs is None:
            return "press free"
        if self.press is not None:
            return "press"
        if self.not_before is not None:
            return "not before"
        return "done by" if self.done_by is not None else "order"

    @model_validator(mode="after")
    def _one_wish(self) -> "Wish":
        given = frozenset(
            name
            for name in ("runs", "press", "not_before", "done_by", "then", "first_colour", "together", "free_from")
            if getattr(self, name)
        )
        wishes = {
            frozenset(one.split())
            for one in (
                "runs press", "runs not_before", "runs done_by", "runs then", "first_colour", "first_colour press",
                "together", "press free_from",
            )
        }  # fmt: skip
        if given not in wishes:
            raise ValueError(
                f"is no wish with {', '.join(sorted(given)) or 'nothing in it'}; say `runs` with one of `press`, "
                "`not_before`, `done_by` or `then`, or `first_colour` (with `press` or for each), or `together`, or "
                "`press` with `free_from`; one wish at a time"
            )
        if self.together and len(self.together) < 2:
            raise ValueError("names one run only; `together` needs two or more")
        if self.free_until is not None and self.free_from is None:
            raise ValueError("says `free_until` without `free_from`")
        return self
