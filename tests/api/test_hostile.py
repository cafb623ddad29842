"""Ten thousand documents nobody means well by: an answer each time, never a fault, and memory stays what it was."""

import copy
import gc
import json
import random

import psutil
import pytest

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
            here[path[-1]] = chance.choice(EVIL)
        elif act < 0.8 and isinstance(here, dict):
            here[chance.choice(["__proto__", "", "a/b~c", "x" * 5000, "\ud800"])] = here.pop(path[-1])
        else:
            del here[path[-1]]
    body = json.dumps(document).encode()
    return body[: chance.randrange(len(body))] if chance.random() < 0.1 else body


@pytest.mark.slow
def test_ten_thousand_hostile_documents(desk):
    """400, 413 or 422 with a problem document, or 202 where the damage did no harm."""
    chance = random.Random(20270111)
    headers = {"Content-Type": "application/json"}
    process, seen, early = psutil.Process(), {}, 0
    for number in range(10_000):
        answer = desk.client.post("/v1/plans", content=spoiled(chance), headers=headers)
        seen[answer.status_code] = seen.get(answer.status_code, 0) + 1
        if answer.status_code == 202:
            desk.client.delete(answer.headers["location"])
        else:
            assert answer.status_code in {400, 413, 422}, answer.text[:500]
            problem = json.loads(answer.content)
            assert problem["detail"]
            assert len(answer.content) < 100_000
            assert answer.content.decode()
        if number == 3_000:
            gc.collect()
            early = process.memory_info().rss
    gc.collect()
    grown = process.memory_info().rss - early
    assert grown < 30 * 2**20, f"grew by {grown / 2**20:.1f} MiB"
    assert seen[422] > 5_000
    assert seen[400] > 500
