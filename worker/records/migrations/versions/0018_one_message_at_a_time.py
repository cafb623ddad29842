"""Until when a receiver has a message on its way, so that no other process sends it another"""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("webhooks", sa.Column("busy_until", sa.Float(), nullable=True))


def downgrade() -> None:
    op.drop_column("webhooks", "busy_until")
