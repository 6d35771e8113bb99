"""Where a shop's ledger lies: as PEELWRIGHT_LEDGER in the environment or shop.yaml says, else in a file beside it."""

import os

from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

from pipeline.ledger.database import Place
from pipeline.problems import Origin, Problem, StopRun
from pipeline.request import LEDGER_FILE, SHOP_FILE
from pipeline.shop import Shop

VARIABLE = "PEELWRIGHT_LEDGER"


def place_of(shop: Shop) -> Place:
    """The shop's ledger. Raises StopRun (E616) for a setting that names none, or a file that holds a password."""
    said = os.environ.get(VARIABLE, "")
    if not (said or shop.ledger):
        return shop.root / LEDGER_FILE
    # Of the line in the file nothing is shown: it may hold a password.
    where = f"`{VARIABLE}` in the environment" if said else f"`ledger` in {SHOP_FILE}"
    origin = Origin(file="" if said else SHOP_FILE)
    hint = "write it like postgresql://user@host/database"
    try:
        url = make_url(said or shop.ledger)
    except (ArgumentError, ValueError):
        url = None
    if url is None or url.drivername != "postgresql" or not url.database:
        message = f"{where} is no address of a PostgreSQL database"
        raise StopRun([Problem(code="E616", message=message, hint=hint, origin=origin)])
    if not said and (url.password is not None or "password" in url.query):
        message = f"{where} holds a password, which anybody could read who reads the file"
        hint = f"put it into PGPASSWORD, a password file of PostgreSQL, or {VARIABLE}"
        raise StopRun([Problem(code="E616", message=message, hint=hint, origin=origin)])
    return url
