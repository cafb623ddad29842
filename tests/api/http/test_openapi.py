"""The OpenAPI document against the service: Schemathesis tries every operation with everything it can think of."""

import time

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode

from tests.api.app_client import listening
from tests.support.sampled import examples
from worker.queue.server import address_in, free_port, start
from worker.records import health, keys, workshops
from worker.records.database import Database
from worker.records.migrate import migrate
from worker.records.tables import Workshop
from worker.settings import Settings

ACCEPTED = ["2xx", "3xx", "401", "403", "404", "409", "429"]
"""How a request that fits the document may be answered: the tool's own list, without the faults it lets pass (5xx)."""


def refused_all_the_same(operation):
    """Status -> why a request that fits the document may still be refused by this very operation, and by no other."""
    names = {p["name"].lower() for p in operation.get("parameters", [])}
    reasons = {}
    if "requestBody" in operation:
        reasons["422"] = "a document can fit its schema and contradict itself: an id that names nothing, a day too late"
        reasons["400"] = "JSON may say a name twice or hold half a character, which no schema can forbid"
    if "cursor" in names:
        reasons["400"] = "a cursor is one that a page before gave; others are well formed and of nobody"
    if "if-match" in names:
        reasons["412"] = "an ETag may be of another state"
        reasons["428"] = "changing needs one; it stands as optional because it is missed with a status of its own"
    if "accept" in names:
        reasons["406"] = "a client may like none of the forms there are"
    return reasons


def checked(document):
    """Every operation as the tool tests it: all checks on, and accepted only what it must be. The tool reads the
    document once for those that may answer alike."""
    read = {}
    for path, methods in document["paths"].items():
        for method, told in methods.items():
            statuses = (*ACCEPTED, *sorted(set(refused_all_the_same(told)) & set(told["responses"])))
            if statuses not in read:
                config = {"checks": {"positive_data_acceptance": {"expected-statuses": list(statuses)}}}
                read[statuses] = schemathesis.openapi.from_dict(document, config=schemathesis.Config.from_dict(config))
            yield read[statuses][path][method]


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    """A service that listens for real, so that nothing of HTTP is left out."""
    folder = tmp_path_factory.mktemp("openapi")
    address = address_in(folder)
    broker = start(folder, address)
    # As on an address others reach, where every request needs a key; it listens on loopback all the same.
    settings_here = Settings(data=folder, redis_url=address.url, host="0.0.0.0", port=free_port())
    database = Database(settings_here.database)
    migrate(database)
    workshop_id = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        connection.execute(Workshop.__table__.update().values(max_requests_per_minute=10**6))
        _, key = keys.make(connection, workshop_id, "all", keys.SCOPES, time.time())
        # Somebody works, as far as readiness can tell: 503 is a true answer, but here it would hide other ones.
        health.say_here(connection, "a double", "small,large", time.time() + 3600)
    database.close()
    with listening(settings_here) as app:
        yield f"http://127.0.0.1:{settings_here.port}", {"Authorization": f"Bearer {key}"}, app.openapi()
    broker.kill()
    broker.wait()


@pytest.mark.slow
@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])
def test_every_operation_keeps_its_word(service, mode):
    """All checks on: status codes, media types, headers and bodies are what the document says; never a fault."""
    url, key, document = service
    operations = list(checked(document))
    assert len(operations) > 40
    tried = 0
    for operation in operations:

        @given(case=operation.as_strategy(generation_mode=mode))
        @settings(
            max_examples=examples(6 if mode is GenerationMode.POSITIVE else 3),
            deadline=None,
            database=None,
            derandomize=True,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        def check(case):
            case.call_and_validate(base_url=url, headers=key, timeout=60)

        try:
            check()
            tried += 1
        except Unsatisfiable:
            # Without parameters and body there is nothing that could be wrong about a request.
            assert mode is GenerationMode.NEGATIVE
        except Exception as error:
            error.add_note(f"{operation.method.upper()} {operation.path}")
            raise
    assert tried > 12
