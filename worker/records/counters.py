"""Counts for whoever watches the service, written in the same transaction as what they count."""

from sqlalchemy import Connection, select
from sqlalchemy.dialects import postgresql, sqlite

from worker.records.tables import Counter

ENDED = "plans_ended"
SOLVE_SECONDS = "solve_seconds"
GAP = "gap"
READINESS_ASKED = "readiness_asked"
BUCKETS = {
    SOLVE_SECONDS: (1.0, 5.0, 15.0, 30.0, 60.0, 180.0, 600.0, 3600.0),
    GAP: (0.0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5),
}
"""Upper bounds of the histograms' buckets: seconds, and shares."""


def add(connection: Connection, name: str, label: str, by: float = 1.0) -> None:
    """Let a number rise."""
    dialect = sqlite if connection.dialect.name == "sqlite" else postgresql
    statement = dialect.insert(Counter).values(name=name, label=label, value=by)
    connection.execute(
        statement.on_conflict_do_update(
            index_elements=[Counter.name, Counter.label], set_={"value": Counter.value + statement.excluded.value}
        )
    )


def solved(connection: Connection, seconds: float, gap: float | None) -> None:
    """A plan was made in so many seconds, to within that gap."""
    _observe(connection, SOLVE_SECONDS, seconds)
    if gap is not None:
        _observe(connection, GAP, gap)


def _observe(connection: Connection, name: str, value: float) -> None:
    above = [bound for bound in BUCKETS[name] if value <= bound]
    add(connection, name, f"{above[0]:g}" if above else "+Inf")
    add(connection, f"{name}_sum", "", value)


def read(connection: Connection, name: str) -> dict[str, float]:
    """Label -> number."""
    return {
        row.label: row.value
        for row in connection.execute(select(Counter.label, Counter.value).where(Counter.name == name))
    }
