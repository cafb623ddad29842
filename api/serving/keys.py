"""./run key make | list | revoke: access keys from the shell, for the first one and for emergencies."""

import argparse
import sys
import time

from worker.records.opening import open_records
from worker.settings import Settings


def add_options(parser: argparse.ArgumentParser) -> None:
    """The command's own arguments."""
    commands = parser.add_subparsers(dest="key", required=True)
    make = commands.add_parser("make", help="make a key and show it this once")
    make.add_argument("workshop", help="the workshop's name; made if there is none of that name")
    make.add_argument("--label", default="from the shell", help="whose it is or what for")
    make.add_argument("--scopes", default="read,plan,admin", help="read,plan,admin or fewer")
    make.add_argument("--days", type=int, help="it ends after so many, a year unless said; 0: without end")
    commands.add_parser("list", help="all keys, without their secrets")
    rotate = commands.add_parser("rotate", help="a key that follows this one, which ends a day later")
    rotate.add_argument("id")
    revoke = commands.add_parser("revoke", help="a key opens nothing any more")
    revoke.add_argument("id")


def run(settings: Settings, given: argparse.Namespace) -> None:
    """Do it, straight on the records."""
    from worker.records import keys, workshops  # here: `serve` reads the options above and needs none of it

    database = open_records(settings)
    now = time.time()
    if given.key == "make":
        scopes = tuple(dict.fromkeys(given.scopes.split(",")))
        if unknown := sorted(set(scopes) - set(keys.SCOPES)):
            sys.exit(f"no such scope: {', '.join(unknown)}; there are {', '.join(keys.SCOPES)}")
        days = keys.LASTS_DAYS if given.days is None else given.days
        if not 0 <= days <= 3650:
            sys.exit("a key lasts 1 to 3650 days; 0: without end")
        if not 0 < len(given.workshop) <= 200 or not given.workshop.isprintable():
            sys.exit("a workshop's name has 1 to 200 printable characters")
        workshop_id = workshops.ensure(database, given.workshop, now)
        with database.write() as connection:
            _, text = keys.make(connection, workshop_id, given.label[:200], scopes, now, days or None)
        print(text)
    elif given.key == "rotate":
        with database.write() as connection:
            made = keys.rotate(connection, given.id, now)
        if made is None:
            sys.exit("there is no such key, or it opens nothing any more; ./run key list shows them")
        print(made[1])
    elif given.key == "list":
        with database.read() as connection:
            for row in keys.list_keys(connection):
                state = "revoked" if row.revoked_at else "ended" if row.ends_at and row.ends_at <= now else "valid"
                ends = time.strftime("until %Y-%m-%d", time.gmtime(row.ends_at)) if row.ends_at else "without end"
                print(f"{row.id}  {state:<8}{row.workshop:<20} {','.join(row.scopes):<16} {ends:<17}{row.label}")
    else:
        with database.write() as connection:
            if not keys.revoke(connection, given.id, now):
                sys.exit("there is no such key; `key list` shows them")
