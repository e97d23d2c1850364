"""Run the migrations over the connection that opened the store."""

from alembic import context

from estimator.store.tables import metadata

if hasattr(context, "config"):  # run by alembic, not imported by a walk through the packages
    context.configure(
        connection=context.config.attributes["connection"], target_metadata=metadata, render_as_batch=True
    )
    with context.begin_transaction():
        context.run_migrations()
