"""What a worker that was asked to end had of a plan, and how long it had worked"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("plans", sa.Column("so_far", sa.Text(), nullable=True))
    op.add_column("plans", sa.Column("worked", sa.Float(), server_default="0", nullable=False))


def downgrade() -> None:
    op.drop_column("plans", "worked")
    op.drop_column("plans", "so_far")
