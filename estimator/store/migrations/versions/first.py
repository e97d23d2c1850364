"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "first"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Makes the tables."""
    _records()
    _quotes()
    _people()


def _records() -> None:
    op.create_table(
        "records",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("job", sa.String(255), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("person", sa.String(80), nullable=False),
        sa.Column("received", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_records"),
        sa.UniqueConstraint("id", name="uq_records_id"),
    )
    op.create_index("ix_records_job", "records", ["job"])
    op.create_table(
        "takeovers",
        sa.Column("job", sa.String(255), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("job", name="pk_takeovers"),
    )


def _quotes() -> None:
    op.create_table(
        "revisions",
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("job", sa.String(255), nullable=False),
        sa.Column("revision", sa.String(40), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("view", sa.Text(), nullable=False),
        sa.Column("paper", sa.LargeBinary(), nullable=False),
        sa.Column("person", sa.String(80), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("hash", name="pk_revisions"),
    )
    op.create_index("ix_revisions_job", "revisions", ["job"])
    op.create_table(
        "links",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("revision", sa.String(64), nullable=False),
        sa.Column("code", sa.String(255), nullable=False),
        sa.Column("until", sa.String(10), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("tried", sa.DateTime(), nullable=True),
        sa.Column("withdrawn", sa.DateTime(), nullable=True),
        sa.Column("person", sa.String(80), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_links"),
        sa.ForeignKeyConstraint(["revision"], ["revisions.hash"], name="fk_links_revision"),
    )
    op.create_index("ix_links_revision", "links", ["revision"])
    op.create_table(
        "acceptances",
        sa.Column("link", sa.String(64), nullable=False),
        sa.Column("revision", sa.String(64), nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("signature", sa.Text(), nullable=False),
        sa.Column("options", sa.Text(), nullable=False),
        sa.Column("total", sa.String(40), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("link", name="pk_acceptances"),
        sa.ForeignKeyConstraint(["link"], ["links.id"], name="fk_acceptances_link"),
        sa.ForeignKeyConstraint(["revision"], ["revisions.hash"], name="fk_acceptances_revision"),
    )


def _people() -> None:
    op.create_table(
        "people",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("role", sa.String(16), nullable=False),
        sa.Column("secret", sa.String(255), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_people"),
        sa.UniqueConstraint("name", name="uq_people_name"),
    )
    op.create_table(
        "sessions",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("person", sa.Integer(), nullable=True),
        sa.Column("link", sa.String(64), nullable=True),
        sa.Column("until", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_sessions"),
        sa.ForeignKeyConstraint(["person"], ["people.id"], name="fk_sessions_person", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["link"], ["links.id"], name="fk_sessions_link", ondelete="CASCADE"),
    )
    op.create_table(
        "changes",
        sa.Column("number", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("job", sa.String(255), nullable=False),
        sa.Column("person", sa.String(80), nullable=False),
        sa.Column("what", sa.String(255), nullable=False),
        sa.Column("was", sa.Text(), nullable=False),
        sa.Column("becomes", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("number", name="pk_changes"),
    )
    op.create_index("ix_changes_job", "changes", ["job"])


def downgrade() -> None:
    """Drops the tables."""
    for name in ("changes", "sessions", "people", "acceptances", "links", "revisions", "takeovers", "records"):
        op.drop_table(name)
