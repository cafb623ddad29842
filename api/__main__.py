"""python -m api serve | listen | key | backup | restore: the whole service on this machine, and what belongs to it."""

import argparse
import gc
import logging
import os
import resource
import signal
import sys
import time
from types import FrameType

from api.serving import backups, keys, sockets
from api.serving.sockets import PortTaken
from api.serving.strangers import LOOPBACK, NeedsKeys, check_exposure
from api.serving.supervisor import AlreadyServed, NeverUp, Supervisor
from worker.logs import log_as_json
from worker.queue.server import NoServer
from worker.records.opening import open_records
from worker.settings import Settings

OPEN_TO_LISTENERS = (
    "requests to %s travel unencrypted, keys and all: set SHOT_TO_SHIP_TLS_CERTIFICATE and SHOT_TO_SHIP_TLS_KEY, "
    "or put a reverse proxy with TLS before it (docs/operations.md)"
)


def allow_many_files() -> None:
    """As many open files as this user may have: each connection is one, and usual shells allow a thousand."""
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (most, most))


def warn_of_listeners(settings: Settings) -> None:
    """Say in the log that whoever is on the way can read along, where that is so."""
    if settings.host not in LOOPBACK and not settings.tls_certificate:
        logging.getLogger("api").warning(OPEN_TO_LISTENERS, settings.host)


def listen(settings: Settings, given: str = "") -> None:
    """The API alone; the queue's server and the workers are somebody else's to start."""
    gc.disable()  # what modules are made of stays: looking through it for rubbish takes a quarter of loading them
    # Here: whoever only starts and tends the others needs none of it.
    import uvicorn

    from api.apart import process
    from api.app import make_app
    from api.serving.slow_connections import Patient

    if not settings.redis_url:
        sys.exit("SHOT_TO_SHIP_REDIS_URL is not set: the API needs the queue's address")
    log_as_json(logging.INFO)
    listening = sockets.inherited(given) if given else sockets.listen_at(settings.host, settings.port)
    config = uvicorn.Config(
        make_app(settings),
        log_config=None,
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=3,
        timeout_keep_alive=20,
        h11_max_incomplete_event_size=64 * 1024,
        http=Patient,
        limit_concurrency=settings.max_connections,
        proxy_headers=bool(settings.trusted_proxies),
        forwarded_allow_ips=settings.trusted_proxies or None,
        ssl_certfile=settings.tls_certificate or None,
        ssl_keyfile=settings.tls_key or None,
    )
    warn_of_listeners(settings)
    allow_many_files()
    gc.freeze()
    gc.enable()
    process.prepare()  # last: it takes a core for a while, and so did all of the above
    uvicorn.Server(config).run(listening)


def serve(settings: Settings) -> None:
    """Everything, until Ctrl-C or a friendly signal."""
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    logging.getLogger("alembic").setLevel(logging.WARNING)  # its "Context impl" tells nobody anything
    signal.signal(signal.SIGTERM, _leave)
    signal.signal(signal.SIGHUP, _leave)
    database = open_records(settings)
    check_exposure(settings, database)
    database.close()
    try:
        with Supervisor(settings) as supervisor:
            where = supervisor.settings.data
            print(f"Shot to Ship listens at {supervisor.url} (records and logs in {where}); Ctrl-C ends it.")
            sys.stdout.flush()
            while True:
                time.sleep(0.2)
                supervisor.tend()
    except KeyboardInterrupt:
        print("ended")
    except (AlreadyServed, NeverUp, PortTaken, NoServer, TimeoutError) as error:
        sys.exit(str(error))


def _leave(_signal: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def options() -> argparse.ArgumentParser:
    """What to do, and its arguments."""
    parser = argparse.ArgumentParser(prog="./run", description=__doc__)
    commands = parser.add_subparsers(dest="do", required=True)
    commands.add_parser("serve", help=serve.__doc__)
    one = commands.add_parser("listen", help=listen.__doc__)
    one.add_argument("--sockets", default="", help="descriptors of sockets that listen already, with commas")
    backups.add_options(commands)
    commands.add_parser("kept", help="what goes in time, how much there is of it and how old it is")
    keys.add_options(commands.add_parser("key", help="access keys"))
    return parser


def main() -> None:
    given = options().parse_args()
    os.umask(0o077)  # whatever is written here is nobody's business but its owner's
    try:
        settings = Settings.from_environment()
        match given.do:
            case "serve":
                serve(settings)
            case "listen":
                listen(settings, given.sockets)
            case "backup" | "restore":
                backups.run(settings, given)
            case "key":
                keys.run(settings, given)
            case "kept":
                from api.serving import kept  # here: it knows all tables

                kept.run(settings)
    except (NeedsKeys, PortTaken, ValueError) as error:
        sys.exit(str(error))


if __name__ == "__main__":
    main()
