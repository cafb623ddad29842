"""Keep what the present version writes, for every later one to read: python -m tests.kept.keep NAME

Makes tests/kept/NAME with a campaign, the plan made from it, and the records of a service that was used a little.
Such a folder is never written anew: a version that cannot read one is mended.
"""

import json
import sqlite3
import sys
import tempfile
from pathlib import Path
from typing import Any

from fastapi.testclient import TestClient

from api.app import make_app
from api.demo import DEMO
from planner.planning.make import make_plan
from tests.api.app_client import settings_for
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan
from worker.warming import TINY

HERE = Path(__file__).parent


def in_rounds(document: dict[str, Any]) -> dict[str, Any]:
    """The campaign, to be planned in one round however quick the machine is."""
    return document | {"planning": document.get("planning", {}) | {"rounds": 1}}


def main() -> None:
    folder = HERE / sys.argv[1]
    folder.mkdir()
    demo = in_rounds(json.loads(DEMO.read_text(encoding="utf-8")))
    with tempfile.TemporaryDirectory() as data:
        app = make_app(settings_for(Path(data), allow_private_webhooks=True))
        service = app.state.service
        with TestClient(app, base_url="http://127.0.0.1:8000") as client:
            made = _planned(client, service, demo)
            _write(folder / "campaign.json", demo)
            _write(folder / "plan.json", made["plan"])
            used = _planned(client, service, in_rounds(TINY))
            client.post("/v1/webhooks", json={"url": "http://127.0.0.1:9/plans"}).raise_for_status()
            run = used["plan"]["runs"][0]
            stood = {"what": "downtime", "at": run["end"][:16], "press": run["press"], "hours": 1.5}
            client.post(f"/v1/plans/{used['id']}/actuals", json={"entries": [stood]}).raise_for_status()
            client.post("/v1/plans", json=in_rounds(TINY) | {"name": "waits"}).raise_for_status()
        database = sqlite3.connect(Path(data) / "records.sqlite")
        (folder / "records.sql").write_text("\n".join(database.iterdump()) + "\n", encoding="utf-8")
        database.close()


def _planned(client: TestClient, service: Any, document: dict[str, Any]) -> dict[str, Any]:
    plan_id = client.post("/v1/plans", json=document).raise_for_status().json()["id"]
    work_on_plan(Hands(service.database, service.settings, "keeper"), plan_id, make_plan)
    told: dict[str, Any] = client.get(f"/v1/plans/{plan_id}").raise_for_status().json()
    return told


def _write(path: Path, document: Any) -> None:
    path.write_text(json.dumps(document, ensure_ascii=False, separators=(",", ":")) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
