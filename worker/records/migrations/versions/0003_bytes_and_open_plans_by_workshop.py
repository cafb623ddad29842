"""Bytes and open plans by workshop"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("plans", schema=None) as batch_op:
        batch_op.create_index("ix_plans_open", ["workshop_id", "status"], unique=False)

    with op.batch_alter_table("workshops", schema=None) as batch_op:
        batch_op.add_column(sa.Column("stored_bytes", sa.BigInteger(), server_default="0", nullable=False))
    op.execute(
        "UPDATE workshops SET stored_bytes ="
        " (SELECT COALESCE(SUM(LENGTH(c.document)), 0) FROM campaigns c WHERE c.workshop_id = workshops.id)"
        " + (SELECT COALESCE(SUM(LENGTH(r.document)), 0) FROM revisions r JOIN plans p ON p.id = r.plan_id"
        " WHERE p.workshop_id = workshops.id)"
    )


def downgrade() -> None:
    with op.batch_alter_table("workshops", schema=None) as batch_op:
        batch_op.drop_column("stored_bytes")

    with op.batch_alter_table("plans", schema=None) as batch_op:
        batch_op.drop_index("ix_plans_open")
