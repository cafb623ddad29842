"""What is typed and not sent yet is kept, and who did what to a moulding campaign"""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "drafts",
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("workshop_id", sa.String(40), nullable=False),
        sa.Column("plan_id", sa.String(40), nullable=True),
        sa.Column("page", sa.String(20), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("edition", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.Float(), nullable=False),
        sa.Column("changed_by", sa.String(200), nullable=False),
        sa.ForeignKeyConstraint(["workshop_id"], ["workshops.id"], name="fk_drafts_workshop_id", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["plan_id"], ["plans.id"], name="fk_drafts_plan_id", ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name="pk_drafts"),
    )
    op.create_index("ix_drafts_page", "drafts", ["workshop_id", "page", "plan_id"])
    op.create_index("ix_drafts_changed_at", "drafts", ["changed_at"])
    op.create_table(
        "changes",
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("workshop_id", sa.String(40), nullable=False),
        sa.Column("moulding_campaign_id", sa.String(40), nullable=False),
        sa.Column("plan_id", sa.String(40), nullable=True),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("at", sa.Float(), nullable=False),
        sa.ForeignKeyConstraint(["workshop_id"], ["workshops.id"], name="fk_changes_workshop_id", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["moulding_campaign_id"],
            ["moulding_campaigns.id"],
            name="fk_changes_moulding_campaign_id",
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(["plan_id"], ["plans.id"], name="fk_changes_plan_id", ondelete="SET NULL"),
        sa.PrimaryKeyConstraint("id", name="pk_changes"),
    )
    op.create_index("ix_changes_page", "changes", ["moulding_campaign_id", "at", "id"])


def downgrade() -> None:
    op.drop_table("changes")
    op.drop_table("drafts")
