"""How long a plan waited for a free core while it was made"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("revisions", sa.Column("waited_seconds", sa.Float(), server_default="0", nullable=False))
    op.create_index("ix_revisions_made_at", "revisions", ["made_at"])


def downgrade() -> None:
    op.drop_index("ix_revisions_made_at", "revisions")
    op.drop_column("revisions", "waited_seconds")
