"""What came of a webhook's last try, how long it rests, and how old its messages are"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("webhooks", sa.Column("outcome", sa.Text(), nullable=True))
    op.add_column("webhooks", sa.Column("told_at", sa.Float(), nullable=True))
    op.add_column("webhooks", sa.Column("failures", sa.Integer(), server_default="0", nullable=False))
    op.add_column("webhooks", sa.Column("rests_until", sa.Float(), nullable=True))
    op.add_column("deliveries", sa.Column("created_at", sa.Float(), server_default="0", nullable=False))
    # Messages from before are as old as this day: nobody says when they were made.
    now = (
        sa.func.extract("epoch", sa.func.now())
        if op.get_bind().dialect.name == "postgresql"
        else sa.text("CAST(strftime('%s', 'now') AS FLOAT)")
    )
    deliveries = sa.table("deliveries", sa.column("created_at", sa.Float()))
    op.execute(deliveries.update().values(created_at=now))
    op.create_index("ix_deliveries_due", "deliveries", ["webhook_id", "next_try_at"])


def downgrade() -> None:
    op.drop_index("ix_deliveries_due", "deliveries")
    op.drop_column("deliveries", "created_at")
    op.drop_column("webhooks", "rests_until")
    op.drop_column("webhooks", "failures")
    op.drop_column("webhooks", "told_at")
    op.drop_column("webhooks", "outcome")
