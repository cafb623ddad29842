"""The floor's log and what supporters were told"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for table in ("floor_entries", "supporters_updates"):
        log = table == "floor_entries"
        kept = [sa.Column("number", sa.Integer(), nullable=False), sa.Column("entry", sa.Text(), nullable=False)]
        told = [sa.Column("document", sa.Text(), nullable=False)]
        op.create_table(
            table,
            sa.Column("id", sa.String(length=40), nullable=False),
            sa.Column("workshop_id", sa.String(length=40), nullable=False),
            sa.Column("plan_id", sa.String(length=40), nullable=False),
            *(kept if log else told),
            sa.Column("created_at", sa.Float(), nullable=False),
            sa.ForeignKeyConstraint(
                ["workshop_id"], ["workshops.id"], name=op.f(f"fk_{table}_workshop_id"), ondelete="CASCADE"
            ),
            sa.ForeignKeyConstraint(["plan_id"], ["plans.id"], name=op.f(f"fk_{table}_plan_id"), ondelete="CASCADE"),
            sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
        )
    op.create_index("ix_floor_entries_plan", "floor_entries", ["plan_id", "number"], unique=True)
    op.create_index("ix_supporters_updates_plan", "supporters_updates", ["plan_id", "created_at"])


def downgrade() -> None:
    op.drop_table("supporters_updates")
    op.drop_table("floor_entries")
