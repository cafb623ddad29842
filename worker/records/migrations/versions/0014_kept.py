"""How much there is of what goes in time, and how much went"""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "kept",
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("rows", sa.BigInteger(), nullable=False),
        sa.Column("bytes", sa.BigInteger(), nullable=False),
        sa.Column("oldest_at", sa.Float(), nullable=True),
        sa.Column("removed", sa.BigInteger(), nullable=False),
        sa.Column("measured_at", sa.Float(), nullable=False),
        sa.PrimaryKeyConstraint("kind", name="pk_kept"),
    )


def downgrade() -> None:
    op.drop_table("kept")
