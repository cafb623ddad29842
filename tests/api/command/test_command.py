"""The command for shells: a thin client; what the API says is printed, what it refuses is told line by line."""

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from api.command.__main__ import OPTIONS, PROCESSES, main
from api.command.at_once import shown_at_once
from api.command.table import rows
from planner.schedule.code_cache import SOURCES, PlaceInThePackage, anything_kept_of
from planner.schedule.instance import packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for
from planner.schedule.warm import smallest_instance
from tests.api.app_client import served
from tests.api.inline_worker import InlineWorker, planned_once
from tests.api.slips.test_what_if_api import CAMPAIGN
from worker.settings import SERVICE
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan

ROOT = Path(__file__).parents[3]


@pytest.fixture(scope="module")
def service(tmp_path_factory):
    """The service listening, with a worker for its studies."""
    with served(tmp_path_factory.mktemp("command")) as (url, started):
        inline_worker = InlineWorker(started)
        inline_worker.start()
        yield url, started
        inline_worker.rest()


@pytest.fixture
def run(service, monkeypatch, capsys):
    """`./run ARGUMENTS`: gives the exit status, what was printed, and what was printed as an error."""
    monkeypatch.setenv(SERVICE, service[0])

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
    work_on_plan(Hands(service[1].database, service[1].settings, "here"), plan_id, planned_once)
    return plan_id


def test_a_plan_is_fetched_to_read_as_lists_and_as_files(run, plan, tmp_path):
    """The text, the runs as CSV, all of it as JSON, and the campaign it was made from."""
    assert "audit: 14 of 14 rules hold" in run("fetch", plan)[1]
    assert run("fetch", plan, "--csv", "runs")[1].count("\n") == 3
    whole = json.loads(run("fetch", plan, "--json")[1])
    assert whole["id"] == plan
    assert whole["plan"]["cautions"]
    for caution in whole["plan"]["cautions"]:  # each with what it is about: "Read its data sheet" is of no use without
        assert f"\n  {caution['about']}: {caution['text'][:10]}" in run("fetch", plan)[1]
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
    assert "Jan 2027" in said.splitlines()[1]
    status, _, refused = run("slips", plan, "nobody")
    assert status == 1
    assert "nobody" in refused


def test_no_service_is_said_with_a_remedy(run, monkeypatch):
    """Not a traceback."""
    monkeypatch.setenv(SERVICE, "http://127.0.0.1:9")
    status, _, refused = run("fetch", "x")
    assert status == 1
    assert "start one with ./run serve" in refused


def test_a_service_on_another_port_is_found_by_the_setting_that_put_it_there(run, service, monkeypatch):
    """One shell for both: its settings say where it listens, unless an address is named."""
    monkeypatch.delenv(SERVICE)
    monkeypatch.setenv("SHOT_TO_SHIP_PORT", service[0].rpartition(":")[2])
    status, _, refused = run("fetch", "nosuch")
    assert (status, "There is nothing" in refused) == (1, True), refused
    monkeypatch.setenv("SHOT_TO_SHIP_PORT", "eighty")
    assert run("fetch", "nosuch")[2].startswith("SHOT_TO_SHIP_PORT must be a whole number")


def test_one_table_names_every_command():
    """`./run help` prints the table's commands, each of which takes its arguments here or in a process's own module."""
    names = [row.name for row in rows()]
    assert sorted(names) == sorted([*OPTIONS, *PROCESSES])
    helped = subprocess.run([ROOT / "run", "help"], capture_output=True, text=True, check=True).stdout
    for row in rows():
        assert row.says in helped
        assert f"\n./run {row.name} " in f"\n{helped}"


def test_a_campaign_is_planned_and_audited_without_a_service(run, tmp_path):
    """To read, as a document, and to a file; the audit passes it, and a plan with a run taken out it does not."""
    campaign, made, file = tmp_path / "campaign.json", tmp_path / "made.json", CAMPAIGN | {"planning": {"rounds": 4}}
    campaign.write_text("\ufeff" + json.dumps(file), encoding="utf-8")
    status, said, _ = run("plan", str(campaign), "--out", str(made), "--cores", "1")
    assert status == 0
    assert "audit: 14 of 14 rules hold" in said
    plan = json.loads(made.read_text())
    assert json.loads(run("plan", str(campaign), "--json", "--cores", "1")[1]) == plan
    status, said, _ = run("audit", str(campaign), str(made))
    assert (status, said.count("holds; ")) == (0, 14)
    made.write_text(json.dumps(plan | {"runs": plan["runs"][1:]}))
    status, said, _ = run("audit", str(campaign), str(made))
    assert status == 1
    assert "IS BROKEN" in said


def test_what_cannot_be_planned_or_read_is_told_by_its_field(run, tmp_path):
    """A campaign, a plan and a file that are none: field, reason, remedy; never a traceback."""
    campaign = tmp_path / "campaign.json"
    campaign.write_text(json.dumps(CAMPAIGN | {"start": "soon"}))
    status, _, refused = run("plan", str(campaign))
    assert status == 1
    assert refused.startswith("/start: ")
    assert run("audit", str(campaign), str(campaign))[2].startswith("/start: ")
    campaign.write_text(json.dumps(CAMPAIGN))
    assert "is no run plan: /" in run("audit", str(campaign), str(campaign))[2]
    campaign.write_text("{")
    assert "is not JSON" in run("plan", str(campaign))[2]
    status, _, refused = run("plan", str(tmp_path / "nowhere.json"))
    assert status == 1
    assert "nowhere.json" in refused


def test_a_first_plan_is_shown_without_anything_compiled(tmp_path, capfd, monkeypatch):
    """The tiers and runs of an audited plan; nothing is put where compiled functions are kept."""
    kept, file = tmp_path / "kept", tmp_path / "campaign.json"
    kept.mkdir()
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(kept))
    file.write_text(json.dumps(CAMPAIGN))
    with shown_at_once(file, time.monotonic()) as shown:
        assert shown.wait(60) == 0
    said, errors = capfd.readouterr()
    assert "A first plan by rule, after " in said
    assert "audit: 14 of 14 rules hold" in said
    assert "\nTiers\n" in said
    assert "\nRuns\n" in said
    assert errors == ""
    assert not list(kept.iterdir())
    with shown_at_once(file, time.monotonic()) as shown:
        pass
    assert shown.returncode is not None


def test_a_first_plan_is_the_same_with_what_is_compiled_and_where_that_turns_out_not_to_be(
    tmp_path, capfd, monkeypatch
):
    """Timed by compiled functions, by plain Python, and by plain Python after looking for what is not there."""
    file, told = tmp_path / "campaign.json", []
    file.write_text(json.dumps(CAMPAIGN))
    inst = smallest_instance()
    objective_of(packed_instance(inst), Solution.empty(inst), timing_for(inst))
    assert anything_kept_of("annealing.py")
    for kept in ("", "empty", "another's"):
        if kept:
            monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / kept))
        if kept == "another's":
            folder = tmp_path / kept / PlaceInThePackage.get_suitable_cache_subpath(str(SOURCES / "annealing.py"))
            folder.mkdir(parents=True)
            (folder / "older.nbi").touch()
        with shown_at_once(file, time.monotonic()) as shown:
            assert shown.wait(60) == 0
        said, errors = capfd.readouterr()
        assert errors == ""
        told.append(said.partition("looked for.")[2])
    assert "\nRuns\n" in told[0]
    assert told[0] == told[1] == told[2]
    assert not list(tmp_path.glob("*/*/*.nbc"))


def test_what_cannot_be_planned_is_left_to_the_service_to_say(tmp_path, capfd):
    """A campaign with problems: nothing printed, no traceback."""
    file = tmp_path / "campaign.json"
    file.write_text(json.dumps(CAMPAIGN | {"tools": {}}))
    with shown_at_once(file, time.monotonic()) as shown:
        assert shown.wait(60) == 0
    assert capfd.readouterr() == ("", "")
