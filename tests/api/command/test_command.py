"""The command for shells: a thin client; what the API says is printed, what it refuses is told line by line."""

import json
import sys
from pathlib import Path

import pytest

from api.command.__main__ import main
from api.command.client import WHERE
from planner.slips.follow import make_plan_from
from tests.api.desk import served
from tests.api.hands import Hands
from tests.api.slips.test_what_if_api import CAMPAIGN
from worker.solving.plan import work_on_plan


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    """The service listening, with a worker for its studies."""
    with served(tmp_path_factory.mktemp("command")) as (url, started):
        hands = Hands(started)
        hands.start()
        yield url, started
        hands.rest()


@pytest.fixture
def run(service, monkeypatch, capsys):
    """`./run ARGUMENTS`: gives the exit status, what was printed, and what was printed as an error."""
    monkeypatch.setenv(WHERE, service[0])

    def command(*arguments: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["./run", *arguments])
        status = main()
        said = capsys.readouterr()
        return status, said.out, said.err

    return command


@pytest.fixture
def plan(service, run, tmp_path) -> str:
    """Submitted by the command and made as a worker would."""
    file = tmp_path / "campaign.json"
    file.write_text(json.dumps(CAMPAIGN))
    status, said, _ = run("submit", str(file), "--leave")
    assert status == 0
    plan_id = said.strip()
    work_on_plan(service[1].database, service[1].settings, plan_id, "here", make_plan_from)
    return plan_id


def test_a_plan_is_fetched_to_read_as_lists_and_as_files(run, plan, tmp_path):
    """The text, the runs as CSV, all of it as JSON, and the campaign it was made from."""
    assert "audit: 12 of 12 rules hold" in run("fetch", plan)[1]
    assert run("fetch", plan, "--csv", "runs")[1].count("\n") == 3
    assert json.loads(run("fetch", plan, "--json")[1])["id"] == plan
    file = tmp_path / "campaign"
    assert run("fetch", plan, "--file", str(file))[0] == 0
    assert json.loads(file.read_bytes())["name"] == CAMPAIGN["name"]


def test_the_floor_is_logged_and_planned_again(run, plan, tmp_path):
    """CSV and JSON; what does not fit is told by its line, and nothing is written down."""
    table = tmp_path / "log.csv"
    table.write_text("what,at,press,tool,colours,shots\nshots,2027-01-05T12:00,one,a,grey,200\n")
    assert run("log", plan, str(table))[:2] == (0, "1 entry written down\n")
    table.write_text("what,at,press,tool,colours,shots\nshots,2027-01-05T12:00,one,nobody,grey,200\n")
    status, _, refused = run("log", plan, str(table))
    assert status == 1
    assert "line 2" in refused
    assert "nobody" in refused
    status, said, _ = run("again", plan, "2027-01-05T12:00", "--leave")
    assert status == 0
    assert len(said.splitlines()[0]) == 26


def test_slips_and_promises_are_printed(run, plan):
    """A line for each tool asked about; a line for each tier."""
    status, said, _ = run("slips", plan, "b")
    assert status == 0
    assert said.startswith("b: ")
    status, said, _ = run("promise", plan, "--confidence", "0.9")
    assert status == 0
    assert said.splitlines()[0].split()[:2] == ["tier", "announce"]
    assert "2027-01-" in said.splitlines()[1]
    status, _, refused = run("slips", plan, "nobody")
    assert status == 1
    assert "nobody" in refused


def test_no_service_is_said_with_a_remedy(run, monkeypatch):
    """Not a traceback."""
    monkeypatch.setenv(WHERE, "http://127.0.0.1:9")
    status, _, refused = run("fetch", "x")
    assert status == 1
    assert "start one with ./run serve" in refused


def test_the_script_names_every_command():
    """What `./run` hands on and what it prints as help."""
    script = (Path(__file__).parents[3] / "run").read_text()
    for name in ("demo", "submit", "watch", "fetch", "log", "again", "slips", "promise"):
        assert f"./run {name}" in script
        assert f" {name} |" in script or f"| {name})" in script
