"""Forecasts as issued, measured hours, plans as issued; which files of the folder are in."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add the tables of what commands used to keep in files."""
    op.create_table(
        "forecasts",
        sa.Column("serial", sa.Integer(), nullable=False),
        sa.Column("issued_s", sa.REAL(), nullable=False),
        sa.Column("fetched_s", sa.REAL(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("serial", name="pk_forecasts"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_forecasts_issued_s_source", "forecasts", ["issued_s", "source"])
    op.create_table(
        "observed",
        sa.Column("time_s", sa.Integer(), nullable=False),
        sa.Column("temperature_c", sa.REAL(), nullable=False),
        sa.Column("pressure_pa", sa.REAL()),
        sa.Column("humidity_fraction", sa.REAL()),
        sa.Column("wind_m_s", sa.REAL()),
        sa.Column("source", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("time_s", name="pk_observed"),
    )
    op.create_table(
        "plans",
        sa.Column("serial", sa.Integer(), nullable=False),
        sa.Column("begin_s", sa.REAL(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("serial", name="pk_plans"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_plans_begin_s", "plans", ["begin_s"])
    op.create_table(
        "taken_in",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("changed_ns", sa.Integer(), nullable=False),
        sa.Column("taken_s", sa.REAL(), nullable=False),
        sa.Column("problem", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_taken_in"),
    )
