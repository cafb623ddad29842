"""A quota of cores, and how many each plan keeps busy"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("plans", sa.Column("cores", sa.Integer(), server_default="0", nullable=False))
    # Not as a batch, which on SQLite would drop the table and everything that belongs to a workshop with it.
    op.execute("ALTER TABLE workshops RENAME COLUMN max_running_plans TO max_cores")
    op.execute("UPDATE workshops SET max_cores = 2 * max_cores")


def downgrade() -> None:
    op.execute("UPDATE workshops SET max_cores = max_cores / 2")
    op.execute("ALTER TABLE workshops RENAME COLUMN max_cores TO max_running_plans")
    op.drop_column("plans", "cores")
