"""Runs migrations on the connection that `service.storage.database.migrate` passes in."""

from alembic import context

from service.storage.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    user_module_prefix="",
)
with context.begin_transaction():
    context.run_migrations()
