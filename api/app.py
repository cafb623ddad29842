"""The HTTP application, put together."""

import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from anyio import to_thread
from fastapi import APIRouter, Depends, FastAPI

from api import openapi
from api.actuals.routes import router as actuals
from api.documents.routes import router as documents
from api.frontier.routes import router as frontier
from api.http import problems
from api.http.compressed import Compressed
from api.http.head import HeadAsGet
from api.http.headers import SafeHeaders, UsableHosts
from api.http.parameters import known_parameters
from api.http.readers import Readers
from api.http.requests import RequestIds
from api.http.slow_bodies import Bodies
from api.labels.routes import router as labels
from api.monitoring import health, metrics
from api.pages import problem_pages
from api.pages.routes import router as pages
from api.paper.routes import router as paper
from api.plans.pictures import router as pictures
from api.plans.routes import router as plans
from api.promises.routes import router as promises
from api.purge.routes import router as purge
from api.service import Service
from api.service.counting import Metrics
from api.service.rate_limit import Addresses, WorkshopLimit
from api.serving.strangers import LOOPBACK, check_exposure
from api.slips.routes import router as slips
from api.studies.routes import router as studies
from api.workshop import keys, webhooks
from worker.queue.broker import make_queue
from worker.queue.sender import Sender
from worker.records import workshops
from worker.records.opening import open_records
from worker.records.sqlite_write_lock import MOST_WAITING
from worker.settings import Settings

THREADS = MOST_WAITING + 20
"""That answer requests: writers may wait in some, and some are left for those who only read."""


def _routes() -> APIRouter:
    """Every route there is, each with what it depends on."""
    # Generated clients name their functions by the unique id.
    every = APIRouter(generate_unique_id_function=lambda route: route.name)
    # First what is asked most: routes are tried one after the other.
    every.include_router(health.router)
    every.include_router(metrics.router)
    for programs in (
        plans, purge, slips, frontier, promises, studies, actuals, pictures, paper, labels, documents,
        keys.router, webhooks.router,
    ):  # fmt: skip
        every.include_router(programs, dependencies=[Depends(known_parameters)])
    every.include_router(pages)
    every.include_router(problem_pages.router)
    return every


ROUTES = _routes()
"""The same for every application of this process: what a route needs is worked out when it is first asked, once."""


def make_app(settings: Settings) -> FastAPI:
    """The application for these settings; its records are brought up to date on the way."""
    database = open_records(settings)
    queue = make_queue(settings)
    check_exposure(settings, database)
    local = workshops.ensure(database, workshops.LOCAL, time.time()) if settings.host in LOOPBACK else None
    sender, limit = Sender(database, queue, settings), WorkshopLimit(settings.redis_url)
    addresses = Addresses(settings.requests_per_address)
    service = Service(settings, database, queue, sender, limit, addresses, Metrics(database), local)

    @asynccontextmanager
    async def life(_app: FastAPI) -> AsyncIterator[None]:
        to_thread.current_default_thread_limiter().total_tokens = THREADS
        service.sender.start()
        yield
        service.sender.stop()
        database.close()

    app = FastAPI(
        title="Shot to Ship",
        version="1",
        summary="From order counts to a moulding campaign's last parcel.",
        lifespan=life,
        docs_url=None,
        redoc_url=None,
        openapi_url="/v1/openapi.json",
        routes=ROUTES.routes,
    )
    app.state.service = service
    # The last one added is the outermost: a fault of any inside it has its id, its headers and its line in the log.
    app.add_middleware(Readers)
    app.add_middleware(HeadAsGet)
    app.add_middleware(Bodies)
    app.add_middleware(Compressed)
    app.add_middleware(UsableHosts)
    app.add_middleware(problems.Faults)
    app.add_middleware(SafeHeaders)
    app.add_middleware(RequestIds)
    problems.install(app)
    openapi.install(app)
    return app
