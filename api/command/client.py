"""Talks to the API; knows its addresses and nothing of how it works."""

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import httpx2

from api.command.table import called
from worker.settings import KEY, SERVICE, Settings


class Refusal(Exception):
    """What the service said instead of yes, with each thing that is wrong on a line of its own."""


@dataclass(frozen=True)
class Client:
    """One service. url: without a path at its end."""

    url: str
    key: str = ""

    @classmethod
    def from_environment(cls) -> "Client":
        """The one that the environment names, else where a service on this machine would listen by its settings."""
        url = os.environ.get(SERVICE) or Settings.from_environment().url
        return cls(url.rstrip("/"), os.environ.get(KEY, ""))

    def submit(self, document: bytes) -> str:
        """Send a campaign; gives the plan's id once it is recorded."""
        answer = self._ask("POST", "/v1/plans", content=document, headers={"Content-Type": "application/json"})
        return str(answer.json()["id"])

    def plan(self, plan_id: str) -> dict[str, Any]:
        """Where the plan stands, and the run plan if there is one."""
        return dict(self._ask("GET", f"/v1/plans/{plan_id}").json())

    def list_of(self, plan_id: str, which: str) -> str:
        """The run list or the pack list as CSV."""
        answer = self._ask("GET", f"/v1/plans/{plan_id}?list={which}", headers={"Accept": "text/csv"})
        return answer.text.removeprefix("\ufeff")

    def file_of(self, plan_id: str, name: str) -> bytes:
        """A file of the plan: paper.pdf, workbook.xlsx, calendar.ics, or campaign, the document it was made from."""
        return self._ask("GET", f"/v1/plans/{plan_id}/{name}").content

    def log(self, plan_id: str, content: bytes, media_type: str) -> int:
        """Write down what happened on the floor, as CSV or JSON; gives how many entries that was."""
        answer = self._ask(
            "POST", f"/v1/plans/{plan_id}/actuals", content=content, headers={"Content-Type": media_type}
        )
        return len(answer.json()["entries"])

    def again(self, plan_id: str, as_of: str) -> tuple[str, list[str]]:
        """Plan again from where the floor stands; gives the new plan's id and what was taken for granted."""
        answer = self._ask("POST", f"/v1/plans/{plan_id}/plan-again", json={"as_of": as_of}).json()
        return str(answer["plan"]["id"]), list(answer["taken_for_granted"])

    def study(self, plan_id: str, kind: str, question: dict[str, Any]) -> str:
        """Ask something that takes its time; gives the study's id."""
        answer = self._ask("POST", f"/v1/plans/{plan_id}/{kind}", json=question, headers={"Prefer": "respond-async"})
        return answer.headers["location"].rpartition("/")[2]

    def study_state(self, study_id: str) -> dict[str, Any]:
        """Where a study stands, with all it has said so far."""
        return dict(self._ask("GET", f"/v1/studies/{study_id}").json())

    def events(self, plan_id: str) -> Iterator[tuple[str, dict[str, Any]]]:
        """Kind and data of each event as it happens; comes back by itself when the line breaks."""
        seen = ""
        while True:
            headers = self._headers() | ({"Last-Event-ID": seen} if seen else {})
            try:
                with httpx2.stream(
                    "GET", f"{self.url}/v1/plans/{plan_id}/events", headers=headers, timeout=30
                ) as answer:
                    if answer.status_code != 200:
                        answer.read()
                        if answer.status_code == 204:
                            return
                        raise _refusal(answer)
                    kind = ""
                    for line in answer.iter_lines():
                        name, _, value = line.partition(": ")
                        if name == "id":
                            seen = value
                        elif name == "event":
                            kind = value
                        elif name == "data":
                            yield kind, json.loads(value)
                            if kind in {"done", "failed", "cancelled"}:
                                return
            except httpx2.TransportError:
                if not self._is_there():
                    raise Refusal(f"the service at {self.url} is gone; start it with {called()} serve") from None

    def _is_there(self) -> bool:
        try:
            return httpx2.get(f"{self.url}/v1/live", timeout=5).status_code == 200
        except httpx2.TransportError:
            return False

    def _headers(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.key}"} if self.key else {}

    def _ask(self, method: str, path: str, **options: Any) -> httpx2.Response:
        options["headers"] = self._headers() | options.get("headers", {})
        try:
            answer = httpx2.request(method, self.url + path, timeout=60, **options)
        except httpx2.TransportError:
            raise Refusal(
                f"no service answers at {self.url}; start one with {called()} serve, or set {SERVICE} to its address"
            ) from None
        if answer.status_code >= 400:
            raise _refusal(answer)
        return answer


def _refusal(answer: httpx2.Response) -> Refusal:
    try:
        problem = answer.json()
        lines = [f"{problem['title']}: {problem['detail']}", *problem_lines(problem.get("errors", []))]
    except (ValueError, KeyError, TypeError):
        lines = [f"the service answered {answer.status_code}"]
    return Refusal("\n".join(lines))


def problem_lines(problems: list[dict[str, str]]) -> list[str]:
    """Each problem as a line: where, what, and what to do."""
    return [
        f"  {problem['pointer'] or '(document)'}: {problem['message']}"
        + (f" -> {problem['remedy']}" if problem["remedy"] else "")
        for problem in problems
    ]
