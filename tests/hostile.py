"""Documents nobody means well by, made from a good one; and sending thousands of them."""

import copy
import gc
import json
import random
from collections import Counter

import psutil
from fastapi.testclient import TestClient

from tests.planner_double import SMALL_CAMPAIGN

EVIL = [
    None, True, [], {}, "", "\u0000", "\ud800", "x" * 100_000, -1, 0, 1e308, -1e308, 1e-320, 2**63, 10**30,
    float("nan"), float("inf"), "=1+1", "../../etc/passwd", "<script>", "'; DROP TABLE plans; --", "\u202e",
    ["a"] * 10_000, {"a": {"a": {"a": {}}}}, "9999-12-31T23:59", "0001-01-01", "2027-01-11T06:00Z",
]  # fmt: skip
RAW = [
    b"[" * 500_000, b'{"a":' * 50_000, b"\x00" * 1000, b"\xff\xfe{}", b'{"a": 1, "a": 2}', b"1" * 1_000_000,
    b'"' + b"\\u0041" * 100_000 + b'"', b"-", b"nul", b'{"name": 1e999999}', b"{}" * 10_000, b"",
]  # fmt: skip


def places(node, path=()):
    """Every place in the document at which something could be put."""
    yield path
    children = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
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
        here = document
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


def assault(client: TestClient, documents: int, seed: int) -> tuple[Counter[int], int]:
    """Send spoiled documents; gives the count of each status and the bytes by which memory grew after the first third.

    Raises AssertionError for any answer that is not 202 or a problem document with 400, 413 or 422.
    """
    chance = random.Random(seed)
    headers = {"Content-Type": "application/json"}
    process, seen, early = psutil.Process(), Counter[int](), 0
    for number in range(documents):
        answer = client.post("/v1/plans", content=spoiled(chance), headers=headers)
        seen[answer.status_code] += 1
        if answer.status_code == 202:
            client.delete(answer.headers["location"])
        else:
            assert answer.status_code in {400, 413, 422}, answer.text[:500]
            assert json.loads(answer.content)["detail"]
            assert len(answer.content) < 100_000
        if number == documents // 3:
            gc.collect()
            early = process.memory_info().rss
    gc.collect()
    return seen, process.memory_info().rss - early
