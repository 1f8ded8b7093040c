"""Entries and their measures, the house as described, knowledge, states of the twin."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables of the first logbooks."""
    op.create_table(
        "entries",
        sa.Column("serial", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("family", sa.Text(), nullable=False),
        sa.Column("replaces", sa.Text()),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("at_s", sa.REAL(), nullable=False),
        sa.Column("begin_s", sa.REAL()),
        sa.Column("made_s", sa.REAL(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("to_place", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("flags", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("typed", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("serial", name="pk_entries"),
        sa.UniqueConstraint("key", name="uq_entries_key"),
        sa.ForeignKeyConstraint(["replaces"], ["entries.key"], name="fk_entries_replaces"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_entries_at_s_serial", "entries", ["at_s", "serial"])
    op.create_index("ix_entries_family_serial", "entries", ["family", "serial"])
    op.create_table(
        "measures",
        sa.Column("entry", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Text(), nullable=False),
        sa.Column("value", sa.REAL(), nullable=False),
        sa.Column("sd", sa.REAL()),
        sa.Column("typed", sa.Text(), nullable=False),
        sa.Column("instrument", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("entry", "position", name="pk_measures"),
        sa.UniqueConstraint("entry", "quantity", name="uq_measures_entry_quantity"),
        sa.ForeignKeyConstraint(["entry"], ["entries.serial"], name="fk_measures_entry"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "houses",
        sa.Column("serial", sa.Integer(), nullable=False),
        sa.Column("from_s", sa.REAL(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("serial", name="pk_houses"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "knowledge",
        sa.Column("serial", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("made_s", sa.REAL(), nullable=False),
        sa.Column("document", sa.Text()),
        sa.Column("takes_back", sa.Integer()),
        sa.PrimaryKeyConstraint("serial", name="pk_knowledge"),
        sa.ForeignKeyConstraint(
            ["takes_back"], ["knowledge.serial"], name="fk_knowledge_takes_back"
        ),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_knowledge_name_serial", "knowledge", ["name", "serial"])
    op.create_table(
        "states",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("time_s", sa.REAL(), nullable=False),
        sa.Column("made_s", sa.REAL(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("name", "time_s", name="pk_states"),
    )
