"""Keys end and have followers, browsers have sessions of their own"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("keys", sa.Column("ends_at", sa.Float(), nullable=True))
    op.create_table(
        "sessions",
        sa.Column("secret_sha256", sa.String(64), nullable=False),
        sa.Column("key_id", sa.String(40), nullable=False),
        sa.Column("created_at", sa.Float(), nullable=False),
        sa.Column("ends_at", sa.Float(), nullable=False),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_sessions_key_id", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("secret_sha256", name="pk_sessions"),
    )
    op.create_index("ix_sessions_ends_at", "sessions", ["ends_at"])


def downgrade() -> None:
    op.drop_table("sessions")
    op.drop_column("keys", "ends_at")
