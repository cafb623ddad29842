"""Moulding campaigns, which plans belong to, and the tables of orders that were brought into them"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

_ROOTS = """
WITH RECURSIVE line (id, root) AS (
  SELECT id, id FROM plans
  WHERE parent_id IS NULL OR parent_id NOT IN (SELECT id FROM plans)
  UNION ALL
  SELECT plans.id, line.root FROM plans JOIN line ON plans.parent_id = line.id
)
"""


def upgrade() -> None:
    op.create_table(
        "moulding_campaigns",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("workshop_id", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("created_at", sa.Float(), nullable=False),
        sa.Column("archived_at", sa.Float(), nullable=True),
        sa.Column("deleted_at", sa.Float(), nullable=True),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshops.id"], name=op.f("fk_moulding_campaigns_workshop_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_moulding_campaigns")),
    )
    op.create_index("ix_moulding_campaigns_page", "moulding_campaigns", ["workshop_id", "created_at", "id"])
    op.create_table(
        "order_imports",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("workshop_id", sa.String(length=40), nullable=False),
        sa.Column("moulding_campaign_id", sa.String(length=40), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("file_name", sa.String(length=200), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("lines", sa.Text(), nullable=False),
        sa.Column("created_at", sa.Float(), nullable=False),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshops.id"], name=op.f("fk_order_imports_workshop_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["moulding_campaign_id"], ["moulding_campaigns.id"],
            name=op.f("fk_order_imports_moulding_campaign_id"), ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_order_imports")),
    )  # fmt: skip
    op.create_index("ix_order_imports_number", "order_imports", ["moulding_campaign_id", "number"], unique=True)
    op.add_column("plans", sa.Column("moulding_campaign_id", sa.String(length=40), nullable=True))
    op.create_index("ix_plans_moulding_campaign", "plans", ["moulding_campaign_id", "created_at", "id"])
    # Each plan made from no other becomes a moulding campaign under its own id; what was made from it belongs to it.
    op.execute(
        "INSERT INTO moulding_campaigns (id, workshop_id, name, created_at) SELECT id, workshop_id, title, created_at"
        " FROM plans WHERE parent_id IS NULL OR parent_id NOT IN (SELECT id FROM plans)"
    )
    op.execute(_ROOTS + "UPDATE plans SET moulding_campaign_id = (SELECT line.root FROM line WHERE line.id = plans.id)")


def downgrade() -> None:
    op.drop_index("ix_plans_moulding_campaign", table_name="plans")
    op.drop_column("plans", "moulding_campaign_id")
    op.drop_table("order_imports")
    op.drop_table("moulding_campaigns")
