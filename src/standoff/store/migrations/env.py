"""What Alembic runs for every migration: the steps, on the connection and in the transaction that the schema hands over."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=True)
context.run_migrations()
