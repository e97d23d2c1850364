"""Runs the migrations over the connection that opened the store."""

from alembic import context

from estimator.store.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata, render_as_batch=True)
with context.begin_transaction():
    context.run_migrations()
