"""Links that open one plan without a key"""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "shared_links",
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("workshop_id", sa.String(40), nullable=False),
        sa.Column("plan_id", sa.String(40), nullable=False),
        sa.Column("secret_sha256", sa.String(64), nullable=False),
        sa.Column("may", sa.String(20), nullable=False),
        sa.Column("label", sa.String(200), nullable=False),
        sa.Column("made_by", sa.String(200), nullable=False),
        sa.Column("created_at", sa.Float(), nullable=False),
        sa.Column("ends_at", sa.Float(), nullable=False),
        sa.Column("revoked_at", sa.Float(), nullable=True),
        sa.Column("opened_at", sa.Float(), nullable=True),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshops.id"], name="fk_shared_links_workshop_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["plan_id"], ["plans.id"], name="fk_shared_links_plan_id", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_shared_links"),
        sa.UniqueConstraint("secret_sha256", name="uq_shared_links_secret_sha256"),
    )
    op.create_index("ix_shared_links_plan", "shared_links", ["plan_id", "created_at"])


def downgrade() -> None:
    op.drop_table("shared_links")
