"""Runs the migrations on the connection that ``schema.migrate`` hands over, in its transaction."""

from alembic import context

from sugarwright.logbook.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,  # SQLite alters a column only by making the table anew
)
context.run_migrations()
