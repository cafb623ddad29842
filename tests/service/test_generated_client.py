"""A client generated from the OpenAPI document alone, against the service that published it.

The generator is openapi-python-client, which knows nothing of this service; what it cannot read of the document is
left out of the client and would be missing here.
"""

import importlib
import re
import subprocess
import sys
import time
from types import SimpleNamespace

import pytest

from tests.planner_double import campaign_named

pytestmark = pytest.mark.service
OPERATIONS = ("submit", "read_plan", "list_plans", "list_revisions", "read_revision", "stop", "delete")
# Answered in forms this generator has no types for: pictures, paper, lines of JSON.
LEFT_OUT = {"image/svg+xml", "application/pdf", "application/x-ndjson"}


@pytest.fixture(scope="module")
def generated(live_service, tmp_path_factory):
    """The client's package, and what the generator said."""
    folder = tmp_path_factory.mktemp("client")
    document = folder / "openapi.json"
    document.write_text(live_service.get("/v1/openapi.json").text)
    command = (sys.executable, "-m", "openapi_python_client", "generate", "--meta", "none")
    given = ("--path", str(document), "--output-path", str(folder / "made_client"), "--overwrite")
    told = subprocess.run([*command, *given], capture_output=True, text=True, cwd=folder, timeout=120)
    assert told.returncode == 0, told.stdout + told.stderr
    sys.path.insert(0, str(folder))
    yield "made_client", told.stdout + told.stderr
    sys.path.remove(str(folder))
    for name in [name for name in sys.modules if name.partition(".")[0] == "made_client"]:
        del sys.modules[name]


@pytest.fixture(scope="module")
def api(generated, live_service):
    """The operations by name, each already given the client."""
    package, _ = generated
    client = importlib.import_module(f"{package}.client").Client(
        base_url=live_service.url, timeout=60, raise_on_unexpected_status=True
    )

    def operation(name):
        module = importlib.import_module(f"{package}.api.plans.{name}")
        return lambda *path, **named: module.sync_detailed(*path, client=client, **named)

    return SimpleNamespace(
        **{name: operation(name) for name in OPERATIONS},
        campaign=importlib.import_module(f"{package}.models").Campaign.from_dict,
        problem=importlib.import_module(f"{package}.models").ProblemDocument,
    )


def finished(api, plan_id):
    until = time.monotonic() + 30
    while time.monotonic() < until:
        state = api.read_plan(plan_id).parsed
        if state.status.value in {"done", "failed", "cancelled"}:
            return state
        time.sleep(0.1)
    raise AssertionError("not finished within 30 s")


def test_the_generator_reads_the_whole_document(generated, live_service):
    """No schema is dropped, and only answers without a type of their own are left out."""
    package, told = generated
    assert "removal" not in told, told
    unread = set(re.findall(r"content_type ([^)\s]+)", told))
    assert unread <= LEFT_OUT, told
    document = live_service.get("/v1/openapi.json").json()
    operations = [one for methods in document["paths"].values() for one in methods.values()]
    names = [one["operationId"] for one in operations]
    assert len(names) == len(set(names)), "clients name their functions by these"
    for one in operations:
        if one["operationId"] not in ("log", "columns", "orders"):
            importlib.import_module(f"{package}.api.{one['tags'][0].replace(' ', '_')}.{one['operationId']}")


def test_submit_wait_read_list_delete(api):
    """A campaign with types, the plan with types, its revision, its place in the list; gone in the end."""
    campaign = api.campaign(campaign_named("pots by the client"))
    assert campaign.orders[0].count == 100
    accepted = api.submit(body=campaign, idempotency_key="client-1")
    assert accepted.status_code == 202
    again = api.submit(body=campaign, idempotency_key="client-1")
    assert again.parsed.id == accepted.parsed.id
    made = finished(api, accepted.parsed.id)
    assert made.status.value == "done"
    assert made.plan.runs[0].press
    assert made.plan.outcome.total > 0
    (revision,) = api.list_revisions(made.id).parsed.revisions
    assert api.read_revision(made.id, revision.number).parsed.to_dict() == made.plan.to_dict()
    listed = api.list_plans(limit=200).parsed.plans
    assert made.id in {plan.id for plan in listed}
    assert api.delete(made.id).status_code == 204
    assert api.read_plan(made.id).status_code == 404


def test_waiting_for_the_answer(api):
    """`Prefer: wait` answers 200 with the plan, which is another type than 202's."""
    answer = api.submit(body=api.campaign(campaign_named("pots at once")), prefer="wait=20")
    assert answer.status_code == 200
    assert answer.parsed.plan.tiers


def test_stop(api, live_service):
    """Asked to stop; it ends, and says why."""
    plan_id = api.submit(body=api.campaign(campaign_named("sleep 60"))).parsed.id
    live_service.wait(lambda: api.read_plan(plan_id).parsed.status.value == "running", 20)
    stopped = api.stop(plan_id)
    assert (stopped.status_code, stopped.parsed.stop_requested) == (202, True)
    live_service.wait(lambda: live_service.get(f"/v1/plans/{plan_id}").json()["status"] == "done", 20)
    (revision,) = api.list_revisions(plan_id).parsed.revisions
    assert revision.ended_because == "stopped"


def test_a_refusal_has_a_type(api):
    """A campaign that contradicts itself: the problem document, field by field."""
    spoiled = campaign_named("spoiled") | {"tiers": {"one": {"units": {"mug": 1}}}}
    answer = api.submit(body=api.campaign(spoiled))
    assert answer.status_code == 422
    assert isinstance(answer.parsed, api.problem)
    assert answer.parsed.type_ == "/problems/campaign"
    assert answer.parsed.errors[0].pointer.startswith("/tiers/one/units")
