"""The OpenAPI document against the service: Schemathesis tries every operation with everything it can think of."""

import threading
import time

import pytest
import schemathesis
import uvicorn
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode

from api.app import make_app
from worker.queue.server import address_in, free_port, start
from worker.records import health
from worker.records.database import Database
from worker.records.migrate import migrate
from worker.settings import Settings


@pytest.fixture(scope="module")
def url(tmp_path_factory):
    """A service that listens for real, so that nothing of HTTP is left out."""
    folder = tmp_path_factory.mktemp("openapi")
    address = address_in(folder)
    broker = start(folder, address)
    settings_here = Settings(data=folder, redis_url=address.url, port=free_port())
    database = Database(settings_here.database)
    migrate(database)
    with database.write() as connection:
        # Somebody works, as far as readiness can tell: 503 is a true answer, but here it would hide other ones.
        health.say_here(connection, "a double", "small,large", time.time() + 3600)
    database.close()
    config = uvicorn.Config(make_app(settings_here), port=settings_here.port, log_config=None)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield f"http://127.0.0.1:{settings_here.port}"
    server.should_exit = True
    thread.join(10)
    broker.kill()
    broker.wait()


@pytest.mark.slow
@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])
def test_every_operation_keeps_its_word(url, mode):
    """All checks on: status codes, media types, headers and bodies are what the document says; never a fault."""
    schema = schemathesis.openapi.from_url(f"{url}/v1/openapi.json")
    operations = [found.ok() for found in schema.get_all_operations()]
    assert len(operations) > 14
    for operation in operations:

        @given(case=operation.as_strategy(generation_mode=mode))
        @settings(
            max_examples=8,
            deadline=None,
            database=None,
            derandomize=True,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        def check(case):
            case.call_and_validate()

        try:
            check()
        except Exception as error:
            error.add_note(f"{operation.method.upper()} {operation.path}")
            raise
