"""Ordered pairs of resin families against a table of published temperatures; a sample of the benchmark."""

from benchmarks.family_pairs import compared, expected, table
from planner.campaign.families import FAMILIES

SAMPLE = ["POM", "PVC-P", "PVC-U", "PVDC", "EVAC", "PP", "PE-HD", "ABS", "PC", "PA", "PA6", "PEEK", "TPS"]


def test_the_planners_table_has_the_published_figures() -> None:
    """Every family's lowest melt temperature and what it is counted on to stand, by sources named line by line."""
    ours = {
        family.abbreviation: (
            float(family.melt_c[0]) if family.melt_c else 0.0,
            float(family.survives_c or (family.melt_c[1] if family.melt_c else 230)),
            family.danger or "",
        )
        for family in FAMILIES
    }
    assert ours == {name: row[:3] for name, row in table().items()}


def test_ten_families_rest_on_memory_at_most() -> None:
    """The others name something published, or are unknown and counted on for no more than acetal or soft PVC."""
    assert sum(row.from_memory for row in table().values()) <= 10


def test_pairs_are_planned_bridged_or_refused_as_the_table_says() -> None:
    """Thirteen of each kind: 156 plans or refusals, each of which the table expects somewhere."""
    found, _, disagree = compared(SAMPLE)
    assert disagree == []
    assert found.total() == len(SAMPLE) * (len(SAMPLE) - 1)
    assert set(found) == {"planned", "bridged", "refused"}


def test_what_the_table_says_of_pairs_one_knows() -> None:
    """Acetal and PVC never; PC after acetal over PE; PP after PE directly; nothing between PE and PEEK."""
    rows = table()
    assert expected(rows, "POM", "PVC") == expected(rows, "PVC-P", "POM") == expected(rows, "POM", "EVAC") == "refused"
    assert expected(rows, "POM", "PC") == expected(rows, "PA", "POM") == "bridged"
    assert expected(rows, "PE", "PP") == "planned"
    assert expected(rows, "PE", "PEEK") == "refused"
