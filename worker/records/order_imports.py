"""Tables of orders brought into a moulding campaign: what was said of them, their lines, and the rows set aside.

Every statement names the workshop. Names and addresses never come this far. Of the lines and the rows set aside only
those of the newest import are kept; what was said of columns and words stays, so that the next table is read alike.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

from worker.records.ids import new_id
from worker.records.submitting import note_bytes
from worker.records.tables import MouldingCampaign, OrderImport, Plan, SetAside


@dataclass(frozen=True)
class ImportRow:
    """One import. said, lines: from JSON. created_at: seconds since 1970, UTC. set_aside: rows still set aside."""

    id: str
    number: int
    file_name: str
    said: dict[str, Any]
    lines: list[Any]
    created_at: float
    set_aside: int


@dataclass(frozen=True)
class SetAsideRow:
    """A row set aside. row: from JSON, whatever its keeper wrote."""

    id: str
    row_number: int
    reason: str
    row: dict[str, Any]


def keep(
    connection: Connection,
    workshop_id: str,
    moulding_campaign_id: str,
    file_name: str,
    said: dict[str, Any],
    lines: Sequence[Any],
    set_aside: Sequence[tuple[int, str, dict[str, Any]]],
    now: float,
) -> str:
    """Write an import down in place of the one before; gives its id. set_aside: (row, reason, what is kept of it)."""
    before = newest(connection, workshop_id, moulding_campaign_id)
    if before is not None:
        _empty(connection, workshop_id, before.id)
    import_id = new_id()
    text, known = json.dumps(lines), json.dumps(said)
    connection.execute(
        insert(OrderImport).values(
            id=import_id,
            workshop_id=workshop_id,
            moulding_campaign_id=moulding_campaign_id,
            number=1 if before is None else before.number + 1,
            file_name=file_name,
            said=known,
            lines=text,
            created_at=now,
        )
    )
    note_bytes(
        connection, workshop_id, len(text) + len(known) + _add(connection, workshop_id, import_id, set_aside, now)
    )
    return import_id


def newest(connection: Connection, workshop_id: str, moulding_campaign_id: str | None) -> ImportRow | None:
    """The last import of a moulding campaign; None where there was none."""
    row = connection.execute(
        select(OrderImport)
        .with_only_columns(
            OrderImport.id, OrderImport.number, OrderImport.file_name, OrderImport.said, OrderImport.lines,
            OrderImport.created_at,
        )
        .where(OrderImport.workshop_id == workshop_id, OrderImport.moulding_campaign_id == moulding_campaign_id)
        .order_by(OrderImport.number.desc())
        .limit(1)
    ).one_or_none()  # fmt: skip
    if row is None:
        return None
    aside = connection.execute(
        select(func.count()).where(SetAside.workshop_id == workshop_id, SetAside.upload_id == row.id)
    ).scalar_one()
    return ImportRow(
        row.id, row.number, row.file_name, json.loads(row.said), json.loads(row.lines), row.created_at, aside
    )


def counted_aside(connection: Connection, workshop_id: str, moulding_campaign_id: str | None) -> int:
    """Rows still set aside of a moulding campaign's newest import."""
    newest_of = (
        select(OrderImport.id)
        .where(OrderImport.workshop_id == workshop_id, OrderImport.moulding_campaign_id == moulding_campaign_id)
        .order_by(OrderImport.number.desc())
        .limit(1)
        .scalar_subquery()
    )
    return connection.execute(
        select(func.count()).where(SetAside.workshop_id == workshop_id, SetAside.upload_id == newest_of)
    ).scalar_one()


def set_aside(connection: Connection, workshop_id: str, import_id: str) -> list[SetAsideRow]:
    """Its rows still set aside, in the order of the table."""
    rows = connection.execute(
        select(SetAside.id, SetAside.row_number, SetAside.reason, SetAside.row)
        .where(SetAside.workshop_id == workshop_id, SetAside.upload_id == import_id)
        .order_by(SetAside.row_number, SetAside.id)
    )
    return [SetAsideRow(row.id, row.row_number, row.reason, json.loads(row.row)) for row in rows]


def change(
    connection: Connection,
    workshop_id: str,
    import_id: str,
    lines: Sequence[Any],
    set_aside: Sequence[tuple[int, str, dict[str, Any]]],
    now: float,
) -> None:
    """Put other lines and other rows set aside in the place of an import's."""
    _empty(connection, workshop_id, import_id)
    text = json.dumps(lines)
    connection.execute(
        update(OrderImport)
        .where(OrderImport.workshop_id == workshop_id, OrderImport.id == import_id)
        .values(lines=text)
    )
    note_bytes(connection, workshop_id, len(text) + _add(connection, workshop_id, import_id, set_aside, now))


def remove_if_empty(connection: Connection, workshop_id: str, moulding_campaign_id: str) -> int:
    """Delete a moulding campaign that has no plan left, with its imports; gives the bytes that were freed."""
    if connection.execute(select(Plan.id).where(Plan.moulding_campaign_id == moulding_campaign_id).limit(1)).first():
        return 0
    ids = list(
        connection.execute(
            select(OrderImport.id).where(OrderImport.moulding_campaign_id == moulding_campaign_id)
        ).scalars()
    )
    freed = sum(_bytes_of(connection, workshop_id, import_id) for import_id in ids)
    connection.execute(delete(SetAside).where(SetAside.workshop_id == workshop_id, SetAside.upload_id.in_(ids)))
    connection.execute(
        delete(MouldingCampaign).where(
            MouldingCampaign.workshop_id == workshop_id, MouldingCampaign.id == moulding_campaign_id
        )
    )
    return freed


def _add(
    connection: Connection,
    workshop_id: str,
    import_id: str,
    set_aside: Sequence[tuple[int, str, dict[str, Any]]],
    now: float,
) -> int:
    rows = [
        {
            "id": new_id(),
            "workshop_id": workshop_id,
            "upload_id": import_id,
            "row_number": number,
            "reason": reason,
            "row": json.dumps(row),
            "created_at": now,
        }
        for number, reason, row in set_aside
    ]
    if rows:
        connection.execute(insert(SetAside), rows)
    return sum(len(str(row["row"])) for row in rows)


def _empty(connection: Connection, workshop_id: str, import_id: str) -> None:
    """Drop the lines and rows set aside of an import; what was said of its columns and words stays."""
    before = _bytes_of(connection, workshop_id, import_id)
    connection.execute(delete(SetAside).where(SetAside.workshop_id == workshop_id, SetAside.upload_id == import_id))
    connection.execute(
        update(OrderImport)
        .where(OrderImport.workshop_id == workshop_id, OrderImport.id == import_id)
        .values(lines="[]")
    )
    note_bytes(connection, workshop_id, _bytes_of(connection, workshop_id, import_id) - before)


def _bytes_of(connection: Connection, workshop_id: str, import_id: str) -> int:
    own = connection.execute(
        select(func.length(OrderImport.lines) + func.length(OrderImport.said)).where(
            OrderImport.workshop_id == workshop_id, OrderImport.id == import_id
        )
    ).scalar()
    rows = connection.execute(
        select(func.coalesce(func.sum(func.length(SetAside.row)), 0)).where(
            SetAside.workshop_id == workshop_id, SetAside.upload_id == import_id
        )
    ).scalar_one()
    return int(own or 0) + int(rows)
