"""How older logbooks are brought to today's form, by Alembic."""
