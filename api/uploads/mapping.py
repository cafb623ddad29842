"""Which column means what: chosen by the maker, checked against the table before any row is taken."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from api.uploads.cells import DateOrder
from api.uploads.known import Known, plain
from api.uploads.personal import personal_heading
from api.uploads.status import never_counts

NOT_ANSWERED = (
    "-", "?", "n/a", "na", "none", "tbd", "tba", "not answered", "not answered yet", "no answer", "no response", "any",
    "any colour", "surprise me", "no preference", "don't mind", "not chosen", "not chosen yet", "pending", "null",
)  # fmt: skip
"""Wordings that mean a colour was not chosen yet, besides an empty cell."""


class MappingProblem(ValueError):
    """The mapping does not fit the table; holds every problem as (field, message, remedy)."""

    def __init__(self, problems: list[tuple[str, str, str]]) -> None:
        self.problems = problems
        super().__init__("; ".join(f"{where}: {what} ({remedy})" for where, what, remedy in problems))

    def __reduce__(self) -> tuple[type["MappingProblem"], tuple[list[tuple[str, str, str]]]]:
        """Made again from its problems, after travelling from the process that read the file."""
        return MappingProblem, (self.problems,)


OneColour = Literal["first", "all"]


@dataclass(frozen=True)
class ColumnMapping:
    """Headings by meaning; None or empty: the table has no such column.

    colours: one column for each unit, in the tier's order; or one column with all of them, cut at the usual marks and
    at `colour_separator`.
    add_ons: add-on id -> column with its number in the order. add_on_texts: columns that say add-ons in words.
    status: the column that says whether a row counts; counts, not_counted: its values that do, and those that do not.
    ignored: columns that speak of refunds and have nothing to say about whether a row counts.
    opens: column with the day from which an order can be packed, as its address is known then; empty cells: now.
    count: column with the number of orders alike in the row, for tables of counts by colourway.
    country_otherwise: ISO code for rows without a country; None: such rows are set aside.
    date_order: how dates written with slashes or dots are read; None: only year-month-day is taken.
    wordings: field (tier, colour, add_on, country) -> what the table writes -> the id it means; an add-on's may mean
    `nothing`.
    repeats: what happens to a later row with the reference of an earlier one.
    one_colour: whether a cell that names one colour alone means an order's first unit, or all where all come in it.
    """

    tier: str
    colours: tuple[str, ...] = ()
    ref: str | None = None
    country: str | None = None
    date: str | None = None
    opens: str | None = None
    count: str | None = None
    add_ons: Mapping[str, str] = field(default_factory=dict)
    add_on_texts: tuple[str, ...] = ()
    status: str | None = None
    counts: tuple[str, ...] = ()
    not_counted: tuple[str, ...] = ()
    ignored: tuple[str, ...] = ()
    colour_separator: str = ","
    not_answered: tuple[str, ...] = NOT_ANSWERED
    country_otherwise: str | None = None
    date_order: DateOrder | None = None
    wordings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    repeats: Literal["set aside", "keep"] = "set aside"
    one_colour: OneColour = "first"

    def columns(self) -> dict[str, str]:
        """Every column that is read: field -> heading. Colours are `colour 1`, `colour 2`, ..."""
        named = {f"colour {n}": heading for n, heading in enumerate(self.colours, start=1)}
        named |= {f"add-on {name}": heading for name, heading in self.add_ons.items()}
        named |= {f"add-ons {n}": heading for n, heading in enumerate(self.add_on_texts, start=1)}
        for what in ("ref", "tier", "country", "date", "opens", "count", "status"):
            if (heading := getattr(self, what)) is not None:
                named[what] = heading
        return named


def check_mapping(mapping: ColumnMapping, headings: tuple[str, ...], known: Known, by_cells: Mapping[str, str]) -> None:
    """Raise MappingProblem where the mapping names columns or ids that are not there, or personal data.

    by_cells: columns whose cells look personal, with the kind.
    """
    problems = []
    used: dict[str, str] = {}
    for what, heading in mapping.columns().items():
        if heading not in headings:
            problems.append((what, f"there is no column {heading!r}", f"choose one of {', '.join(headings)}"))
        elif heading in used:
            problems.append((what, f"column {heading!r} is already used for {used[heading]}", "choose another"))
        elif kind := personal_heading(heading) or by_cells.get(heading):
            problems.append((what, f"column {heading!r} holds personal data ({kind})", "choose one without, or none"))
        used.setdefault(heading, what)
    problems += [
        (f"add-on {name}", "the campaign has no such add-on", f"choose one of {', '.join(sorted(known.add_ons))}")
        for name in mapping.add_ons
        if name not in known.add_ons
    ]
    problems += [
        ("status", f"{value!r} can never count as an order", "leave it out of what counts; mend rows that are wrong")
        for value in mapping.counts
        if never_counts(value)
    ]
    both = {plain(value) for value in mapping.counts} & {plain(value) for value in mapping.not_counted}
    if both:
        problems.append(("status", f"{', '.join(sorted(both))} both counts and does not", "say one of them"))
    if (mapping.counts or mapping.not_counted) and mapping.status is None:
        problems.append(("status", "values are said to count, and no column says the status", "name its column"))
    most = max((tier.choices for tier in known.tiers.values()), default=0)
    if len(mapping.colours) > 1 and len(mapping.colours) > most:
        problems.append(("colours", f"no tier takes {len(mapping.colours)} choices", f"map at most {most} columns"))
    if len(mapping.colour_separator) > 1:
        problems.append(("colour_separator", "must be one character, or none", "e.g. a comma"))
    if problems:
        raise MappingProblem(problems)
