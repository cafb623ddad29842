"""The run list and the pack list of a run plan as CSV (RFC 4180), one row each, in order of work."""

import csv
import io
from collections.abc import Iterable

from planner.plan import RunPlan

LISTS = ("runs", "packs")

RUN_HEADINGS = (
    "press",
    "run",
    "tool",
    "melts",
    "changeover start",
    "mount seconds",
    "purge kg",
    "purge shots",
    "purge seconds",
    "start-up shots",
    "start",
    "end",
    "shots",
    "parts",
    "waits for",
    "cost",
    "currency",
)
PACK_HEADINGS = (
    "dispatch",
    "dispatch at",
    "batch",
    "tier",
    "region",
    "parcels",
    "contents per parcel",
    "pieces per parcel",
    "start",
    "end",
    "person minutes",
)


def as_csv(plan: RunPlan, which: str) -> str:
    """The list named `which`, one of LISTS."""
    return _table(RUN_HEADINGS, _runs(plan)) if which == "runs" else _table(PACK_HEADINGS, _packs(plan))


def _runs(plan: RunPlan) -> Iterable[tuple[object, ...]]:
    for run in plan.runs:
        change = run.changeover
        purges = change.purges if change else []
        yield (
            run.press,
            run.id,
            run.tool,
            " + ".join(run.melts),
            change.start.isoformat() if change else "",
            change.mount_seconds if change else 0,
            round(sum(purge.kg for purge in purges), 3),
            sum(purge.shots for purge in purges),
            sum(purge.seconds for purge in purges),
            change.startup_shots if change else 0,
            run.start.isoformat(),
            run.end.isoformat(),
            run.shots,
            "; ".join(f"{part.good} x {part.part} {'/'.join(part.colours)}" for part in run.parts),
            run.waits_for,
            run.cost,
            plan.currency,
        )


def _packs(plan: RunPlan) -> Iterable[tuple[object, ...]]:
    leaves = {dispatch.id: dispatch.at for dispatch in plan.dispatches}
    for batch in sorted(plan.batches, key=lambda b: (leaves[b.dispatch], b.start, b.id)):
        contents = "; ".join(
            f"{units} x {product} {colourway}"
            for product, colourways in sorted(batch.contents.items())
            for colourway, units in sorted(colourways.items())
        )
        yield (
            batch.dispatch,
            leaves[batch.dispatch].isoformat(),
            batch.id,
            batch.tier,
            batch.region,
            batch.parcels,
            contents,
            "; ".join(f"{count} x {piece}" for piece, count in sorted(batch.pieces.items())),
            batch.start.isoformat(),
            batch.end.isoformat(),
            batch.person_minutes,
        )


def _table(headings: tuple[str, ...], rows: Iterable[tuple[object, ...]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(headings)
    for row in rows:
        writer.writerow(_plain(cell) for cell in row)
    return out.getvalue()


def _plain(cell: object) -> object:
    # A spreadsheet runs a text that begins so as a formula; an apostrophe makes it text again.
    if isinstance(cell, str) and cell[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        return "'" + cell
    return cell
