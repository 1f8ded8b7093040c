"""Readings of sensors."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add the tables of sensors."""
    op.create_table(
        "series",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_series"),
        sa.UniqueConstraint("name", name="uq_series_name"),
    )
    op.create_table(
        "readings",
        sa.Column("series", sa.Integer(), nullable=False),
        sa.Column("time_s", sa.REAL(), nullable=False),
        sa.Column("value", sa.REAL(), nullable=False),
        sa.PrimaryKeyConstraint("series", "time_s", name="pk_readings"),
        sa.ForeignKeyConstraint(["series"], ["series.id"], name="fk_readings_series"),
        sqlite_with_rowid=False,
    )
