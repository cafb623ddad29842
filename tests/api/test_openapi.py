"""The OpenAPI document against the service: Schemathesis tries every operation with everything it can think of."""

import threading
import time

import pytest
import schemathesis
import uvicorn
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode

from api.app import make_app
from tests.api.desk import settings_for
from worker.queue.server import free_port


@pytest.fixture(scope="module")
def url(tmp_path_factory):
    """A service that listens for real, so that nothing of HTTP is left out."""
    settings_here = settings_for(tmp_path_factory.mktemp("openapi"), port=free_port())
    config = uvicorn.Config(make_app(settings_here), port=settings_here.port, log_config=None)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield f"http://127.0.0.1:{settings_here.port}"
    server.should_exit = True
    thread.join(10)


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
            max_examples=12,
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
