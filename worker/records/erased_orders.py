"""Numbers of orders erased on request: what is kept so that the same order is known again, and every document of a
moulding campaign that may hold a number, read and written anew. Every statement names the workshop."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, Select, delete, func, insert, select, update
from sqlalchemy.orm import InstrumentedAttribute

from worker.records.submitting import keep_campaign, note_bytes
from worker.records.tables import (
    Campaign,
    Draft,
    ErasedOrder,
    FloorEntry,
    HistoryEntry,
    Plan,
    Revision,
    SupportersUpdate,
)


@dataclass(frozen=True)
class OfCampaign:
    """Whose moulding campaign it is."""

    workshop_id: str
    moulding_campaign_id: str

    def digest(self, number: str) -> str:
        """Of an order's number in plain spelling: the same number of another campaign has another one."""
        return hashlib.sha256(f"{self.moulding_campaign_id}\n{number}".encode()).hexdigest()

    @property
    def plans(self) -> Select[str]:
        return select(Plan.id).where(
            Plan.workshop_id == self.workshop_id, Plan.moulding_campaign_id == self.moulding_campaign_id
        )


def known(connection: Connection, of: OfCampaign) -> dict[str, int]:
    """Digest -> the number an erased order goes by."""
    rows = connection.execute(
        select(ErasedOrder.sha256, ErasedOrder.number).where(
            ErasedOrder.workshop_id == of.workshop_id, ErasedOrder.moulding_campaign_id == of.moulding_campaign_id
        )
    )
    return {row.sha256: row.number for row in rows}


def add(connection: Connection, of: OfCampaign, digest: str, now: float) -> int:
    """Write one more down; gives the number it goes by. The caller has checked that it is not there yet."""
    last = connection.execute(
        select(func.coalesce(func.max(ErasedOrder.number), 0)).where(
            ErasedOrder.moulding_campaign_id == of.moulding_campaign_id
        )
    ).scalar_one()
    connection.execute(
        insert(ErasedOrder).values(
            moulding_campaign_id=of.moulding_campaign_id,
            sha256=digest,
            workshop_id=of.workshop_id,
            number=last + 1,
            at=now,
        )
    )
    return int(last) + 1


def campaigns(connection: Connection, of: OfCampaign) -> list[tuple[str, str]]:
    """(id, JSON text) of each campaign document that a plan of it, or a revision of one, is made from."""
    used = select(Plan.campaign_id).where(Plan.id.in_(of.plans))
    revised = select(Revision.campaign_id).where(Revision.plan_id.in_(of.plans))
    rows = connection.execute(
        select(Campaign.id, Campaign.document)
        .where(Campaign.workshop_id == of.workshop_id, Campaign.id.in_(used.union(revised)))
        .order_by(Campaign.created_at, Campaign.id)
    )
    return [(row.id, row.document) for row in rows]


def plans_from(connection: Connection, of: OfCampaign, campaign_id: str) -> list[str]:
    """The moulding campaign's plans that are, or were in a revision, made from that document."""
    revised = select(Revision.plan_id).where(Revision.campaign_id == campaign_id)
    rows = connection.execute(of.plans.where((Plan.campaign_id == campaign_id) | Plan.id.in_(revised)))
    return sorted(rows.scalars())


def put_campaign(connection: Connection, of: OfCampaign, campaign_id: str, document: str, now: float) -> None:
    """Another document in a campaign document's place, for this moulding campaign; the old one goes where no other
    plan is made from it."""
    new = keep_campaign(connection, of.workshop_id, document, now)
    ours = list(connection.execute(of.plans).scalars())
    for table, owner in ((Plan, Plan.id), (Revision, Revision.plan_id)):
        connection.execute(
            update(table).where(owner.in_(ours), table.campaign_id == campaign_id).values(campaign_id=new)
        )
    used = select(Plan.id).where(Plan.campaign_id == campaign_id)
    revised = select(Revision.plan_id).where(Revision.campaign_id == campaign_id)
    if connection.execute(used.union_all(revised).limit(1)).first() is None:
        gone = delete(Campaign).where(Campaign.id == campaign_id).returning(func.length(Campaign.document))
        note_bytes(connection, of.workshop_id, -int(connection.execute(gone).scalar_one()))


@dataclass(frozen=True)
class Text:
    """A text of the campaign that somebody typed or was told. where: log, draft, update or history. content: JSON, or
    plain words (history)."""

    where: str
    plan_id: str
    id: str
    content: str


_Texts = type[FloorEntry | Draft | SupportersUpdate | HistoryEntry]
_TEXTS: dict[str, tuple[_Texts, InstrumentedAttribute[str]]] = {
    "log": (FloorEntry, FloorEntry.entry),
    "draft": (Draft, Draft.content),
    "update": (SupportersUpdate, SupportersUpdate.document),
    "history": (HistoryEntry, HistoryEntry.what),
}


def texts(connection: Connection, of: OfCampaign) -> Iterator[Text]:
    """All of them, in no order that matters."""
    for where, (table, content) in _TEXTS.items():
        rows = connection.execute(
            select(table.plan_id, table.id, content).where(
                table.workshop_id == of.workshop_id, table.plan_id.in_(of.plans)
            )
        )
        for plan_id, text_id, words in rows.all():
            yield Text(where, plan_id or "", text_id, words)


def put_texts(connection: Connection, of: OfCampaign, changed: Sequence[Text]) -> None:
    """Their contents in the place of those that are kept."""
    for text in changed:
        table, content = _TEXTS[text.where]
        connection.execute(
            update(table)
            .where(table.workshop_id == of.workshop_id, table.id == text.id)
            .values({content.key: text.content})
        )
