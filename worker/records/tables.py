"""The tables. Times are seconds since 1970 in UTC; documents are JSON text, exactly as published."""

from sqlalchemy import BigInteger, Boolean, Float, ForeignKey, Index, Integer, MetaData, String, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

ID = String(40)


class Table(DeclarativeBase):
    """Names every constraint, so that a migration can change it on either database."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


def _owner() -> Mapped[str]:
    return mapped_column(ID, ForeignKey("workshops.id", ondelete="CASCADE"))


class Standing:
    """What a plan and a study share: where it stands, when, how it ended, who asked for it."""

    queue: Mapped[str] = mapped_column(String(20))
    last_event: Mapped[int] = mapped_column(Integer)
    status: Mapped[str] = mapped_column(String(20))
    """queued, running, done, failed, cancelled"""
    ended_because: Mapped[str | None] = mapped_column(String(40))
    failure: Mapped[str | None] = mapped_column(Text)
    stop_requested: Mapped[bool] = mapped_column(Boolean)
    request_id: Mapped[str | None] = mapped_column(String(80))
    created_at: Mapped[float] = mapped_column(Float)
    started_at: Mapped[float | None] = mapped_column(Float)
    finished_at: Mapped[float | None] = mapped_column(Float)


class Lease:
    """What a plan and a part of a study share: who works on it."""

    attempt: Mapped[int] = mapped_column(Integer)
    losses: Mapped[int] = mapped_column(Integer)
    """How many workers were lost with it in their hands; only the claim counts it up."""
    lease_until: Mapped[float | None] = mapped_column(Float)
    worker: Mapped[str | None] = mapped_column(String(200))
    sent_at: Mapped[float | None] = mapped_column(Float)


class Workshop(Table):
    """Whose data it is; every other row belongs to one, and no query leaves this out."""

    __tablename__ = "workshops"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    name: Mapped[str] = mapped_column(String(200), unique=True)
    created_at: Mapped[float] = mapped_column(Float)
    max_requests_per_minute: Mapped[int] = mapped_column(Integer)
    max_open_plans: Mapped[int] = mapped_column(Integer)
    max_cores: Mapped[int] = mapped_column(Integer)
    """That its plans may keep busy at once, over all workers."""
    max_bytes: Mapped[int] = mapped_column(BigInteger)
    stored_bytes: Mapped[int] = mapped_column(BigInteger, server_default="0")
    """Of campaign and plan documents; kept up to date by whoever adds or deletes one."""


class Key(Table):
    """An access key: only the hash of its secret is kept."""

    __tablename__ = "keys"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    label: Mapped[str] = mapped_column(String(200))
    secret_sha256: Mapped[str] = mapped_column(String(64))
    scopes: Mapped[str] = mapped_column(String(80))
    created_at: Mapped[float] = mapped_column(Float)
    revoked_at: Mapped[float | None] = mapped_column(Float)
    ends_at: Mapped[float | None] = mapped_column(Float)
    """None: it has no end (keys made before they had one)."""


class Session(Table):
    """A browser that signed in with a key: only the hash of its secret is kept."""

    __tablename__ = "sessions"
    secret_sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    key_id: Mapped[str] = mapped_column(ID, ForeignKey("keys.id", ondelete="CASCADE"))
    created_at: Mapped[float] = mapped_column(Float)
    ends_at: Mapped[float] = mapped_column(Float, index=True)


class SharedLink(Table):
    """A link that opens one plan without a key: only the hash of its secret is kept."""

    __tablename__ = "shared_links"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    plan_id: Mapped[str] = mapped_column(ID, ForeignKey("plans.id", ondelete="CASCADE"))
    secret_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    may: Mapped[str] = mapped_column(String(20))
    """read or log"""
    label: Mapped[str] = mapped_column(String(200))
    made_by: Mapped[str] = mapped_column(String(200))
    created_at: Mapped[float] = mapped_column(Float)
    ends_at: Mapped[float] = mapped_column(Float)
    revoked_at: Mapped[float | None] = mapped_column(Float)
    opened_at: Mapped[float | None] = mapped_column(Float)
    """When somebody last followed it."""

    __table_args__ = (Index("ix_shared_links_plan", "plan_id", "created_at"),)


class Campaign(Table):
    """A campaign document as it was sent; never changed, a new one is a new row."""

    __tablename__ = "campaigns"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    sha256: Mapped[str] = mapped_column(String(64))
    document: Mapped[str] = mapped_column(Text)
    created_at: Mapped[float] = mapped_column(Float)


class Plan(Standing, Lease, Table):
    """A plan being made or made: its place in the queue, who works on it, how it ended."""

    __tablename__ = "plans"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    campaign_id: Mapped[str] = mapped_column(ID, ForeignKey("campaigns.id"))
    parent_id: Mapped[str | None] = mapped_column(ID)
    moulding_campaign_id: Mapped[str | None] = mapped_column(ID)
    """The whole job it belongs to; a plan made from another one belongs to that one's."""
    title: Mapped[str] = mapped_column(String(200))
    currency: Mapped[str | None] = mapped_column(String(3))
    """Of its money, as the campaign says; None: written down before this was kept."""

    budget: Mapped[float] = mapped_column(Float)
    revision: Mapped[int] = mapped_column(Integer)
    edition: Mapped[int] = mapped_column(Integer)
    """Rises with every change but progress: what If-Match compares."""

    phase: Mapped[str | None] = mapped_column(String(40))
    share: Mapped[float | None] = mapped_column(Float)
    cost: Mapped[float | None] = mapped_column(Float)
    bound: Mapped[float | None] = mapped_column(Float)
    gap: Mapped[float | None] = mapped_column(Float)
    cores: Mapped[int] = mapped_column(Integer, server_default="0")
    """Kept busy by whoever makes it; as of the last claim."""
    so_far: Mapped[str | None] = mapped_column(Text)
    """The order of work of the best plan that a worker had when it was asked to end, JSON text."""
    worked: Mapped[float] = mapped_column(Float, server_default="0")
    """Seconds that workers had planned this revision when they were asked to end."""

    __table_args__ = (
        Index("ix_plans_page", "workshop_id", "created_at", "id"),
        Index("ix_plans_due", "status", "sent_at"),
        Index("ix_plans_open", "workshop_id", "status"),
        Index("ix_plans_moulding_campaign", "moulding_campaign_id", "created_at", "id"),
    )


class MouldingCampaign(Table):
    """The whole job, first shot to last parcel: its plans are revisions and variants of it."""

    __tablename__ = "moulding_campaigns"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    name: Mapped[str] = mapped_column(String(200))
    created_at: Mapped[float] = mapped_column(Float)
    archived_at: Mapped[float | None] = mapped_column(Float)
    deleted_at: Mapped[float | None] = mapped_column(Float)
    """Deleted by the maker, who may still take it back."""

    __table_args__ = (Index("ix_moulding_campaigns_page", "workshop_id", "created_at", "id"),)


class Revision(Table):
    """A published run plan. The unique pair is what makes a task run twice write one result."""

    __tablename__ = "revisions"
    plan_id: Mapped[str] = mapped_column(ID, ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True)
    number: Mapped[int] = mapped_column(Integer, primary_key=True)
    campaign_id: Mapped[str] = mapped_column(ID, ForeignKey("campaigns.id"))
    document: Mapped[str] = mapped_column(Text)
    cost: Mapped[float | None] = mapped_column(Float)
    bound: Mapped[float | None] = mapped_column(Float)
    gap: Mapped[float | None] = mapped_column(Float)
    solve_seconds: Mapped[float] = mapped_column(Float)
    waited_seconds: Mapped[float] = mapped_column(Float, server_default="0")
    """Of these, waited for a free core by the worker that made it, as far as it is known."""
    ended_because: Mapped[str] = mapped_column(String(40))
    made_at: Mapped[float] = mapped_column(Float, index=True)


class Event(Table):
    """What happened to a plan, in order and without gaps; only ever added to."""

    __tablename__ = "events"
    plan_id: Mapped[str] = mapped_column(ID, ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True)
    number: Mapped[int] = mapped_column(Integer, primary_key=True)
    kind: Mapped[str] = mapped_column(String(40))
    data: Mapped[str] = mapped_column(Text)
    at: Mapped[float] = mapped_column(Float)


class Worker(Table):
    """A worker process and when it was last heard of; one that is silent long enough is forgotten."""

    __tablename__ = "workers"
    id: Mapped[str] = mapped_column(String(200), primary_key=True)
    queues: Mapped[str] = mapped_column(String(80))
    seen_at: Mapped[float] = mapped_column(Float)


class Counter(Table):
    """A number that only rises: what happened since the records began, also to plans since deleted."""

    __tablename__ = "counters"
    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    label: Mapped[str] = mapped_column(String(60), primary_key=True)
    value: Mapped[float] = mapped_column(Float)


class Kept(Table):
    """How much there is of a kind that goes in time, as a worker counted it last, and how much went."""

    __tablename__ = "kept"
    kind: Mapped[str] = mapped_column(String(40), primary_key=True)
    rows: Mapped[int] = mapped_column(BigInteger)
    bytes: Mapped[int] = mapped_column(BigInteger)
    oldest_at: Mapped[float | None] = mapped_column(Float)
    removed: Mapped[int] = mapped_column(BigInteger)
    """Rows, since the records began."""
    measured_at: Mapped[float] = mapped_column(Float)


class PurgeEntry(Table):
    """One real colour change from the floor, as the maker wrote it down."""

    __tablename__ = "purge_log"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    entry: Mapped[str] = mapped_column(Text)
    created_at: Mapped[float] = mapped_column(Float)

    __table_args__ = (Index("ix_purge_log_page", "workshop_id", "created_at", "id"),)


class OrderImport(Table):
    """A table of orders brought into a moulding campaign: what was said of its columns and words, and the lines taken.

    The file itself is not kept, nor any name or address; of the lines only the newest import's are.
    """

    __tablename__ = "order_imports"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    moulding_campaign_id: Mapped[str] = mapped_column(ID, ForeignKey("moulding_campaigns.id", ondelete="CASCADE"))
    number: Mapped[int] = mapped_column(Integer)
    """1, 2, 3 ... per moulding campaign."""
    file_name: Mapped[str] = mapped_column(String(200))
    said: Mapped[str] = mapped_column(Text)
    """JSON: what the columns mean, which values of the status count, what words mean."""
    lines: Mapped[str] = mapped_column(Text)
    """JSON: the order lines as read, open choices left open."""
    created_at: Mapped[float] = mapped_column(Float)

    __table_args__ = (Index("ix_order_imports_number", "moulding_campaign_id", "number", unique=True),)


class SetAside(Table):
    """A row of an order import that was not taken: kept with its reason until the maker deals with it."""

    __tablename__ = "orders_set_aside"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    upload_id: Mapped[str] = mapped_column(ID)
    row_number: Mapped[int] = mapped_column(Integer)
    reason: Mapped[str] = mapped_column(Text)
    row: Mapped[str] = mapped_column(Text)
    created_at: Mapped[float] = mapped_column(Float)

    __table_args__ = (Index("ix_orders_set_aside_upload", "workshop_id", "upload_id", "row_number"),)


class ErasedOrder(Table):
    """An order whose number was erased on request: it goes by another one, and a later table's row is known by this
    hash to be the same order."""

    __tablename__ = "erased_orders"
    moulding_campaign_id: Mapped[str] = mapped_column(
        ID, ForeignKey("moulding_campaigns.id", ondelete="CASCADE"), primary_key=True
    )
    sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    """Of the moulding campaign's id and the number in plain spelling."""
    workshop_id: Mapped[str] = _owner()
    number: Mapped[int] = mapped_column(Integer)
    """1, 2, 3 ... per moulding campaign: the order is `erased-1` now."""
    at: Mapped[float] = mapped_column(Float)


class Webhook(Table):
    """Where to tell a workshop's programs that a plan ended. secret: which key it is derived from or sealed with
    (`worker.webhooks.secrets`)."""

    __tablename__ = "webhooks"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    url: Mapped[str] = mapped_column(Text)
    secret: Mapped[str] = mapped_column(String(100))
    created_at: Mapped[float] = mapped_column(Float)
    outcome: Mapped[str | None] = mapped_column(Text)
    """What came of the last try."""
    told_at: Mapped[float | None] = mapped_column(Float)
    failures: Mapped[int] = mapped_column(Integer, server_default="0")
    """Tries in a row that came to nothing."""
    rests_until: Mapped[float | None] = mapped_column(Float)
    """Nothing is sent before, since nobody answered."""
    busy_until: Mapped[float | None] = mapped_column(Float)
    """A message is on its way there, of whichever process."""


class OutboxMessage(Table):
    """One message to one webhook, until it was taken or given up."""

    __tablename__ = "webhook_outbox"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    webhook_id: Mapped[str] = mapped_column(ID, ForeignKey("webhooks.id", ondelete="CASCADE"))
    body: Mapped[str] = mapped_column(Text)
    tries: Mapped[int] = mapped_column(Integer)
    next_try_at: Mapped[float | None] = mapped_column(Float, index=True)
    """None: delivered or given up, see outcome."""
    outcome: Mapped[str | None] = mapped_column(Text)
    created_at: Mapped[float] = mapped_column(Float, server_default="0")

    __table_args__ = (Index("ix_webhook_outbox_due", "webhook_id", "next_try_at"),)


class KeptAnswer(Table):
    """The first answer to a POST with an Idempotency-Key, given again to every repeat."""

    __tablename__ = "idempotency_keys"
    workshop_id: Mapped[str] = mapped_column(ID, ForeignKey("workshops.id", ondelete="CASCADE"), primary_key=True)
    key: Mapped[str] = mapped_column(String(200), primary_key=True)
    request_sha256: Mapped[str] = mapped_column(String(64))
    status: Mapped[int] = mapped_column(Integer)
    headers: Mapped[str] = mapped_column(Text)
    body: Mapped[str] = mapped_column(Text)
    created_at: Mapped[float] = mapped_column(Float, index=True)


class FloorEntry(Table):
    """One entry of the floor's log of a plan, as it was sent: shots, purges, deliveries, parcels."""

    __tablename__ = "floor_entries"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    plan_id: Mapped[str] = mapped_column(ID, ForeignKey("plans.id", ondelete="CASCADE"))
    number: Mapped[int] = mapped_column(Integer)
    """1, 2, 3 ... per plan, in the order they were sent."""
    entry: Mapped[str] = mapped_column(Text)
    created_at: Mapped[float] = mapped_column(Float)

    __table_args__ = (Index("ix_floor_entries_plan", "plan_id", "number", unique=True),)


class SupportersUpdate(Table):
    """An update for supporters as it was made: what people were told."""

    __tablename__ = "supporters_updates"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    plan_id: Mapped[str] = mapped_column(ID, ForeignKey("plans.id", ondelete="CASCADE"))
    document: Mapped[str] = mapped_column(Text)
    created_at: Mapped[float] = mapped_column(Float)

    __table_args__ = (Index("ix_supporters_updates_plan", "plan_id", "created_at"),)


class Draft(Table):
    """What somebody has typed on a page and not sent off yet, as typed."""

    __tablename__ = "drafts"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    plan_id: Mapped[str | None] = mapped_column(ID, ForeignKey("plans.id", ondelete="CASCADE"))
    """Of which plan; None: of none yet."""
    page: Mapped[str] = mapped_column(String(20))
    content: Mapped[str] = mapped_column(Text)
    edition: Mapped[int] = mapped_column(Integer)
    """Rises with every change: whoever saw an older one is told."""
    changed_at: Mapped[float] = mapped_column(Float, index=True)
    changed_by: Mapped[str] = mapped_column(String(200))

    __table_args__ = (Index("ix_drafts_page", "workshop_id", "page", "plan_id"),)


class HistoryEntry(Table):
    """What somebody did to a moulding campaign: its history, only ever added to."""

    __tablename__ = "history"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    moulding_campaign_id: Mapped[str] = mapped_column(ID, ForeignKey("moulding_campaigns.id", ondelete="CASCADE"))
    plan_id: Mapped[str | None] = mapped_column(ID, ForeignKey("plans.id", ondelete="SET NULL"))
    who: Mapped[str] = mapped_column(String(200))
    """The label of the key or link that was used."""
    what: Mapped[str] = mapped_column(Text)
    """In words."""
    at: Mapped[float] = mapped_column(Float)

    __table_args__ = (Index("ix_history_page", "moulding_campaign_id", "at", "id"),)


class Study(Standing, Table):
    """A question about a published plan, worked out part by part: where it stands, and its document in the end."""

    __tablename__ = "studies"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    workshop_id: Mapped[str] = _owner()
    plan_id: Mapped[str] = mapped_column(ID, ForeignKey("plans.id", ondelete="CASCADE"))
    revision: Mapped[int] = mapped_column(Integer)
    kind: Mapped[str] = mapped_column(String(40))
    question: Mapped[str] = mapped_column(Text)
    digest: Mapped[str] = mapped_column(String(64))
    """Of kind, revision and question: the same question is worked out once."""
    parts: Mapped[int] = mapped_column(Integer)
    parts_done: Mapped[int] = mapped_column(Integer)
    result: Mapped[str | None] = mapped_column(Text)

    __table_args__ = (
        Index("ix_studies_page", "workshop_id", "created_at", "id"),
        Index("ix_studies_alike", "plan_id", "digest"),
        Index("ix_studies_open", "workshop_id", "status"),
    )


class StudyPart(Lease, Table):
    """A part of a study, on its way through the queue like a plan."""

    __tablename__ = "study_parts"
    id: Mapped[str] = mapped_column(ID, primary_key=True)
    study_id: Mapped[str] = mapped_column(ID, ForeignKey("studies.id", ondelete="CASCADE"))
    number: Mapped[int] = mapped_column(Integer)
    ask: Mapped[str] = mapped_column(Text)
    unlocks: Mapped[int | None] = mapped_column(Integer)
    first: Mapped[int] = mapped_column(Integer)
    """The parts from here up to this one lead to it."""
    waits_for: Mapped[int] = mapped_column(Integer)
    """How many parts that lead to it directly are not over yet."""

    status: Mapped[str] = mapped_column(String(20))
    """held (waits for others), queued, running, done, dropped"""
    queue: Mapped[str] = mapped_column(String(20))
    created_at: Mapped[float] = mapped_column(Float)

    __table_args__ = (
        Index("ix_study_parts_number", "study_id", "number", unique=True),
        Index("ix_study_parts_due", "status", "sent_at"),
    )


class StudyEvent(Table):
    """What happened to a study and what its parts said, in order and without gaps; only ever added to."""

    __tablename__ = "study_events"
    study_id: Mapped[str] = mapped_column(ID, ForeignKey("studies.id", ondelete="CASCADE"), primary_key=True)
    number: Mapped[int] = mapped_column(Integer, primary_key=True)
    part: Mapped[int | None] = mapped_column(Integer)
    """Which part said it; none: the study itself."""
    kind: Mapped[str] = mapped_column(String(40))
    data: Mapped[str] = mapped_column(Text)
    at: Mapped[float] = mapped_column(Float)
