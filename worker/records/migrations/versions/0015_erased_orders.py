"""Orders whose numbers were erased on request"""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "erased_orders",
        sa.Column("moulding_campaign_id", sa.String(40), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("workshop_id", sa.String(40), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("at", sa.Float(), nullable=False),
        sa.ForeignKeyConstraint(
            ["moulding_campaign_id"],
            ["moulding_campaigns.id"],
            name="fk_erased_orders_moulding_campaign_id",
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshops.id"], name="fk_erased_orders_workshop_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("moulding_campaign_id", "sha256", name="pk_erased_orders"),
    )


def downgrade() -> None:
    op.drop_table("erased_orders")
