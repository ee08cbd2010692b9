"""The first tables: jobs, their revisions, and what was logged at the machine."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "job",
        sa.Column("id", sa.String(32), primary_key=True),
        sa.Column("made_utc", sa.String(27), nullable=False),
        sa.Column("changed_utc", sa.String(27), nullable=False),
        sa.Column("archived_utc", sa.String(27)),
        sa.Column("head", sa.Integer, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("site", sa.Text, nullable=False),
        sa.Column("words", sa.Text, nullable=False),
    )
    op.create_index("job_by_change", "job", ["changed_utc"])
    op.create_table(
        "revision",
        sa.Column("job_id", sa.String(32), sa.ForeignKey("job.id"), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("made_utc", sa.String(27), nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("drafts", sa.Text, nullable=False),
    )
    op.create_table(
        "logged",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("job_id", sa.String(32), sa.ForeignKey("job.id"), nullable=False),
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("made_utc", sa.String(27), nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("contents", sa.Text, nullable=False),
        sa.UniqueConstraint("job_id", "key", name="logged_once"),
    )
