"""Nothing that takes its time is done on the event loop, where it would hold up everybody.

What an `async def` calls without waiting for it runs there, so it may call only what is listed here as short: whatever
the size of a document, a plan or a table. Functions inside it and what is handed to a thread are not looked at.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

API = Path(__file__).resolve().parents[2] / "api"
SHORT = {
    # Python's own, on headers, numbers and single rows
    "any", "bytes", "cast", "dict", "getattr", "int", "isinstance", "len", "max", "min", "partial", "round", "set",
    "sorted", "str", "type", "HTTPStatus", "getattr().get", "time.monotonic", "time.perf_counter", "time.time",
    "append", "add", "decode", "encode", "endswith", "fullmatch", "get", "isdecimal", "items", "join", "lower",
    "partition", "rpartition", "startswith", "strip", "update",
    # refusals, answers and what they are made of
    "ShownOnce", "shown.once", "shown.response", "Once", "asked.once", "FromMoment", "response_of", "told", "_answer",
    "BadRequest", "Conflict", "Invalid", "NoKey", "NotAllowed", "NotFound", "NotWellFormed", "Problem", "TooLarge",
    "Unavailable", "TooSlow", "WrongMediaType", "RedirectResponse", "Request", "Response", "StreamingResponse",
    "answer", "errors", "fault", "problem", "quote", "records_away",
    # bodies of a few thousand bytes
    "parse_short",
    # questions and parameters that are checked already
    "Where.said", "_unusable",
    "Limits", "Live", "PromiseQuestion", "Sent", "Variant", "bounded", "model_dump", "is_said", "state", "lines",
    "negotiation.choose", "negotiation.preferred_wait", "negotiation.prefers_async", "study_id_in", "takes_gzip",
    "_is_text", "_local", "same_origin", "new_id", "_address", "().put",
    # for whom a page is: two headers, of which the first hundreds of signs are read
    "reading.begin", "reader_of",
    # who asks, by a cookie's name and what its link opens
    "link_cookie", "_limited", "frozenset", "Caller", "acting.begin", "Acting", "LinkWanted",
    # what the event loop itself is told
    "anyio.move_on_after", "anyio.CancelScope", "left.cancel", "too_many", "addresses.wait",
    "CapacityLimiter", "request.stream", "httpx2.ASGITransport", "httpx2.AsyncClient", "_places.get", "_places.set",
    "request_id.set", "request_id.reset", "sender.nudge",
    # what is told about a request
    "log.log", "log.error", "log.info", "labels", "inc", "observe", "trace.use_span", "tracer.start_span",
    "set_attributes", "update_name",
}  # fmt: skip
AT_START_AND_END = {"life"}
"""Run while nobody asks anything yet, or any more."""


def dotted(node: ast.AST) -> str:
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}"
    return "()"


def called(function: ast.AsyncFunctionDef) -> Iterator[tuple[str, int]]:
    """What the function calls and does not wait for, with its line."""

    def walk(node: ast.AST) -> Iterator[tuple[str, int]]:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            return
        if isinstance(node, ast.Await) and isinstance(node.value, ast.Call):
            for part in (*node.value.args, *node.value.keywords, node.value.func):
                yield from walk(part)
            return
        if isinstance(node, ast.Call):
            yield dotted(node.func), node.lineno
        for part in ast.iter_child_nodes(node):
            yield from walk(part)

    for statement in function.body:
        yield from walk(statement)


def short(name: str) -> bool:
    """By its whole name, its last two words, or as a method by its last."""
    parts = name.split(".")
    return name in SHORT or ".".join(parts[-2:]) in SHORT or (len(parts) > 1 and parts[-1] in SHORT)


def blocking(source: str, where: str = "") -> list[str]:
    return [
        f"{where}:{line} {function.name} calls {name}"
        for function in ast.walk(ast.parse(source))
        if isinstance(function, ast.AsyncFunctionDef) and function.name not in AT_START_AND_END
        for name, line in called(function)
        if not short(name)
    ]


def test_no_coroutine_does_what_takes_its_time() -> None:
    modules = sorted(API.rglob("*.py"))
    assert sum("async def" in path.read_text() for path in modules) > 20, "the rule would pass on nothing"
    assert [one for path in modules for one in blocking(path.read_text(), str(path.relative_to(API)))] == []


@pytest.mark.parametrize(
    "line",
    [
        "shown = find_published(service, workshop, plan)",
        "said = Comparison.model_validate_json(text)",
        "with service.database.read() as connection: pass",
        "return page('what_if.html')",
        "x = await later(json.loads(text))",
        "parsed = parse(body, 32)",
    ],
)
def test_the_rule_sees_what_it_is_there_for(line: str) -> None:
    assert blocking(f"async def handler():\n    {line}\n")


def test_what_is_handed_to_a_thread_may_take_its_time() -> None:
    handler = "async def handler():\n    def look():\n        return find_plan(1)\n    return await run_sync(look)\n"
    assert not blocking(handler)
