"""In which currency a plan counts, for lists that read no document"""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("plans", sa.Column("currency", sa.String(3), nullable=True))


def downgrade() -> None:
    op.drop_column("plans", "currency")
