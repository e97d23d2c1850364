"""The shop whose records a database holds."""

import sqlalchemy as sa
from alembic import op

revision = "second"
down_revision = "first"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Makes the table."""
    op.create_table(
        "shops", sa.Column("id", sa.String(32), nullable=False), sa.PrimaryKeyConstraint("id", name="pk_shops")
    )


def downgrade() -> None:
    """Drops the table."""
    op.drop_table("shops")
