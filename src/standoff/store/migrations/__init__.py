"""How the tables became what they are, one step after another (Alembic)."""
