"""Alembic's entry: runs the steps on the connection that `yieldopt.rack.db.upgrade` hands over, in its transaction."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], target_metadata=None)
with context.begin_transaction():
    context.run_migrations()
