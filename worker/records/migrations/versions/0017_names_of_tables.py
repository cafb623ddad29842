"""Tables named after what is in them; their constraints keep the names they were given."""

from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

TABLES = {
    "tallies": "counters",
    "answers": "idempotency_keys",
    "deliveries": "webhook_outbox",
    "changes": "history",
}
INDEXES = {
    "idempotency_keys": [("ix_answers_created_at", "ix_idempotency_keys_created_at", ["created_at"])],
    "webhook_outbox": [
        ("ix_deliveries_next_try_at", "ix_webhook_outbox_next_try_at", ["next_try_at"]),
        ("ix_deliveries_due", "ix_webhook_outbox_due", ["webhook_id", "next_try_at"]),
    ],
    "history": [("ix_changes_page", "ix_history_page", ["moulding_campaign_id", "at", "id"])],
}


def upgrade() -> None:
    for old, new in TABLES.items():
        op.rename_table(old, new)
    for table, indexes in INDEXES.items():
        for old, new, columns in indexes:
            op.drop_index(old, table_name=table)
            op.create_index(new, table, columns)


def downgrade() -> None:
    for table, indexes in INDEXES.items():
        for old, new, columns in indexes:
            op.drop_index(new, table_name=table)
            op.create_index(old, table, columns)
    for old, new in TABLES.items():
        op.rename_table(new, old)
