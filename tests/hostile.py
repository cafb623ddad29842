"""Documents nobody means well by, made from a good one; and sending thousands of them."""

import copy
import gc
import json
import random
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import psutil
from fastapi.testclient import TestClient

from tests.planner_double import SMALL_CAMPAIGN

EVIL: list[Any] = [
    None, True, [], {}, "", "\u0000", "\ud800", "x" * 100_000, -1, 0, 1e308, -1e308, 1e-320, 2**63, 10**30,
    float("nan"), float("inf"), "=1+1", "../../etc/passwd", "<script>", "'; DROP TABLE plans; --", "\u202e",
    ["a"] * 10_000, {"a": {"a": {"a": {}}}}, "9999-12-31T23:59", "0001-01-01", "2027-01-11T06:00Z",
    {"$ref": "#"}, {"$ref": "#/tools/cup"}, {"$ref": "file:///etc/passwd"}, {"parts": {"$ref": "#/parts"}},
]  # fmt: skip
RAW = [
    b"[" * 500_000, b'{"a":' * 50_000, b"\x00" * 1000, b"\xff\xfe{}", b'{"a": 1, "a": 2}', b"1" * 1_000_000,
    b'{"name": "a", "name": "b"}', json.dumps(SMALL_CAMPAIGN).encode().replace(b'"cup"', b'"cup": {}, "cup"', 1),
    b'"' + b"\\u0041" * 100_000 + b'"', b"-", b"nul", b'{"name": 1e999999}', b"{}" * 10_000, b"",
]  # fmt: skip


EVIL_BUT_JSON = [value for value in EVIL if value not in ("\u0000", "\ud800", float("inf")) and value == value]
"""What gets past the reading of JSON, to be seen by what comes after."""


def places(node: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in the document at which something could be put."""
    yield path
    children: Any = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for name, child in children:
        yield from places(child, (*path, name))


def spoiled(chance: random.Random) -> bytes:
    """The small campaign with a few evil values, names or cuts in it."""
    if chance.random() < 0.05:
        return chance.choice(RAW)
    document = copy.deepcopy(SMALL_CAMPAIGN)
    for _ in range(chance.randint(1, 4)):
        path = chance.choice(list(places(document)))
        if not path:
            continue
        here: Any = document
        for step in path[:-1]:
            here = here[step]
        act = chance.random()
        if act < 0.6:
            here[path[-1]] = copy.deepcopy(chance.choice(EVIL))
        elif act < 0.8 and isinstance(here, dict):
            here[chance.choice(["__proto__", "", "a/b~c", "x" * 5000, "\ud800"])] = here.pop(path[-1])
        else:
            del here[path[-1]]
    body = json.dumps(document).encode()
    return body[: chance.randrange(len(body))] if chance.random() < 0.1 else body


def spoiled_patch(chance: random.Random) -> list[dict[str, object]]:
    """A JSON Patch that points at itself, at nothing, ever deeper, or copies everything into itself."""
    pointers = ["", "/", "/tools", "/tools/pot", "/orders/0", "/orders/-", "/a", "/a/a", "/~2", "/name", "/-1", "//"]
    patch: list[dict[str, object]] = []
    for n in range(chance.choice([1, 2, 5, 40, 400])):
        op = chance.choice(["add", "remove", "replace", "move", "copy", "test", "copy", "explode"])
        path = chance.choice([*pointers, f"/x{n}", "/a" * chance.randint(1, 200)])
        patch.append({"op": op, "path": path, "from": chance.choice(pointers), "value": chance.choice(EVIL_BUT_JSON)})
    return patch


@dataclass
class Outcome:
    """How often each status was answered, the process's memory in bytes (before, and after each tenth), and the seconds
    of the slowest answer, by the clock and of this process's processor time."""

    seen: Counter[int]
    memory: list[int]
    slowest: float
    dearest: float

    @property
    def grown(self) -> int:
        """From the fourth tenth on: what is read once and kept is there by then."""
        return self.memory[-1] - self.memory[4]


def assault(client: TestClient, documents: int, seed: int, plan: str) -> Outcome:
    """Send spoiled documents, one in ten of them as a patch of that finished plan's campaign.

    Raises AssertionError for any answer that is not 202 or a problem document with 400, 409, 413, 422 or 429.
    """
    chance = random.Random(seed)
    headers = {"Content-Type": "application/json"}
    process, seen = psutil.Process(), Counter[int]()
    memory = [process.memory_info().rss]
    slowest = dearest = 0.0
    for number in range(documents):
        if number % 10 == 9:
            path, body = (
                f"/v1/plans/{plan}/variants",
                json.dumps({"variants": [{"patch": spoiled_patch(chance)}]}).encode(),
            )
        else:
            path, body = "/v1/plans", spoiled(chance)
        begun, worked = time.perf_counter(), time.process_time()
        answer = client.post(path, content=body, headers=headers)
        slowest = max(slowest, time.perf_counter() - begun)
        dearest = max(dearest, time.process_time() - worked)
        seen[answer.status_code] += 1
        if answer.status_code == 202:
            made = answer.json()
            for one in made.get("plans", [made]):
                client.delete(f"/v1/plans/{one['id']}")
        else:
            assert answer.status_code in {400, 409, 413, 422, 429}, answer.text[:500]
            assert json.loads(answer.content)["detail"]
            assert len(answer.content) < 100_000
        if (number + 1) % (documents // 10) == 0:
            gc.collect()
            memory.append(process.memory_info().rss)
    return Outcome(seen, memory, slowest, dearest)
