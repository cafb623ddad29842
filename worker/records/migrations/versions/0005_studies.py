"""Studies, their parts and what these said"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

ID = sa.String(length=40)


def upgrade() -> None:
    op.create_table(
        "studies",
        sa.Column("id", ID, nullable=False),
        sa.Column("workshop_id", ID, nullable=False),
        sa.Column("plan_id", ID, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("question", sa.Text(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("queue", sa.String(length=20), nullable=False),
        sa.Column("parts", sa.Integer(), nullable=False),
        sa.Column("parts_done", sa.Integer(), nullable=False),
        sa.Column("last_event", sa.Integer(), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("ended_because", sa.String(length=40), nullable=True),
        sa.Column("failure", sa.Text(), nullable=True),
        sa.Column("stop_requested", sa.Boolean(), nullable=False),
        sa.Column("result", sa.Text(), nullable=True),
        sa.Column("request_id", sa.String(length=80), nullable=True),
        sa.Column("created_at", sa.Float(), nullable=False),
        sa.Column("started_at", sa.Float(), nullable=True),
        sa.Column("finished_at", sa.Float(), nullable=True),
        *_belongs("studies", "workshop_id", "workshops.id"),
        *_belongs("studies", "plan_id", "plans.id"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_studies")),
    )
    op.create_index("ix_studies_page", "studies", ["workshop_id", "created_at", "id"])
    op.create_index("ix_studies_alike", "studies", ["plan_id", "digest"])
    op.create_index("ix_studies_open", "studies", ["workshop_id", "status"])
    op.create_table(
        "study_parts",
        sa.Column("id", ID, nullable=False),
        sa.Column("study_id", ID, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("ask", sa.Text(), nullable=False),
        sa.Column("unlocks", sa.Integer(), nullable=True),
        sa.Column("first", sa.Integer(), nullable=False),
        sa.Column("waits_for", sa.Integer(), nullable=False),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("queue", sa.String(length=20), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False),
        sa.Column("losses", sa.Integer(), nullable=False),
        sa.Column("lease_until", sa.Float(), nullable=True),
        sa.Column("worker", sa.String(length=200), nullable=True),
        sa.Column("sent_at", sa.Float(), nullable=True),
        sa.Column("created_at", sa.Float(), nullable=False),
        *_belongs("study_parts", "study_id", "studies.id"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_study_parts")),
    )
    op.create_index("ix_study_parts_number", "study_parts", ["study_id", "number"], unique=True)
    op.create_index("ix_study_parts_due", "study_parts", ["status", "sent_at"])
    op.create_table(
        "study_events",
        sa.Column("study_id", ID, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("part", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("data", sa.Text(), nullable=False),
        sa.Column("at", sa.Float(), nullable=False),
        *_belongs("study_events", "study_id", "studies.id"),
        sa.PrimaryKeyConstraint("study_id", "number", name=op.f("pk_study_events")),
    )


def _belongs(table: str, column: str, to: str) -> list[sa.ForeignKeyConstraint]:
    return [sa.ForeignKeyConstraint([column], [to], name=op.f(f"fk_{table}_{column}"), ondelete="CASCADE")]


def downgrade() -> None:
    for table in ("study_events", "study_parts", "studies"):
        op.drop_table(table)
