"""A ledger of an earlier version becomes one of today, in one transaction; nothing that was recorded changes.

Written for SQLite: no other database has ever held a ledger of version 2.
"""

from sqlalchemy import Connection, inspect, update

from pipeline.ledger.tables import SCHEMA, invoices, metadata, state


def upgrade(connection: Connection, found: int) -> None:
    """Bring the tables from version `found` to the present one."""
    if found < 3:
        _to_3(connection)
    if found < 4:
        # Codes of cartons: a table more.
        metadata.create_all(connection)
    connection.execute(update(state).values(schema=SCHEMA))


def _to_3(connection: Connection) -> None:
    """Credit notes and deposits stand among the invoices; lots have a place; payments, prints, tallies, drops."""
    kept = [column["name"] for column in inspect(connection).get_columns(invoices.name)]
    names = ", ".join(f'"{name}"' for name in kept)
    connection.exec_driver_sql("ALTER TABLE invoices RENAME TO invoices_1")
    connection.exec_driver_sql("ALTER TABLE lots ADD COLUMN place TEXT NOT NULL DEFAULT ''")
    metadata.create_all(connection)
    connection.exec_driver_sql(f"INSERT INTO invoices ({names}) SELECT {names} FROM invoices_1")  # noqa: S608
    connection.exec_driver_sql("DROP TABLE invoices_1")
