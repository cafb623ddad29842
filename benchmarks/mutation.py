"""Whether the tests nearest to a line notice when it is wrong: small faults, drawn by a seed, one at a time.

    python -m benchmarks.mutation [--seed 21] [--number 60] [--only 3,17] [--list] [--most-files 6] [--seconds 300]

Eleven faults are named, since tests once missed them; the rest is drawn over planner, worker and api in turn: a
comparison turned or moved by its bound, a sum for a difference, `and` for `or`, a smallest for a largest, a condition
the other way round, a number one more, a truth for its opposite. Each is made in a copy of the sources, and the nearest
tests are run there: those that import the module or what its package hands on of it, or bear its name, then those of
what imports it, so many files at most. A fault is caught where they fail or do not come to an end. Before it counts,
the test that failed has passed without it; where none is named, all of them have.
A run may be done in pieces, by `--only` and the numbers of its faults: they hang on the seed and on each file's own
text, so that a new file moves none of the others.

Prints a line a fault, with the test that failed, and how many were caught.
"""

import argparse
import ast
import hashlib
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, partial
from itertools import zip_longest
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LAYERS = ("planner", "worker", "api")
SKIPPED = ("migrations", "templates", "static", "demo", "__init__.py", "py.typed")
COPIED = (
    "planner", "worker", "api", "tests", "benchmarks", "examples", "docs", "requirements", "pyproject.toml", "run",
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "NOTICE", "mkdocs.yml",
)  # fmt: skip
COMPARED: dict[type[ast.cmpop], str] = {
    ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "==",
    ast.In: "not in", ast.NotIn: "in", ast.Is: "is not", ast.IsNot: "is",
}  # fmt: skip
REPLACED: dict[type[ast.operator], str] = {ast.Add: "-", ast.Sub: "+", ast.Mult: "+", ast.FloorDiv: "*", ast.Div: "*"}
ELSEWHERE = ("tests/browser", "tests/package", "tests/service")
"""Tests that start services or a browser."""
SWAPPED = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True)
class Fault:
    """A change to one file: what stands from `begin` to `end` (bytes) becomes `new`. title: of a named one."""

    path: str
    begin: int
    end: int
    new: str
    title: str = ""

    def said(self, root: Path = ROOT) -> str:
        """Its place, and the line before and after."""
        data = (root / self.path).read_bytes()
        line = data[: self.begin].count(b"\n") + 1
        was, now = self._lines(data)
        return f"{self.path}:{line} {self.title and self.title + ': '}{was!r} -> {now!r}"

    def told_apart(self, root: Path = ROOT) -> str:
        """What it does, wherever in the file it stands; lines alike are counted."""
        data = (root / self.path).read_bytes()
        was, now = self._lines(data)
        return f"{self.path}:{was}:{now}:{data[: self.begin].count(was.encode())}"

    def _lines(self, data: bytes) -> tuple[str, str]:
        begin = data.rfind(b"\n", 0, self.begin) + 1
        end = data.find(b"\n", self.end)
        was = data[begin:end].decode().strip()
        return was, (data[begin : self.begin] + self.new.encode() + data[self.end : end]).decode().strip()


NAMED: tuple[tuple[str, str, str, str], ...] = (
    ("a key used with another address", "api/services/once.py",
     'self.request[0].encode() + b"\\n" + self.request[1]', "self.request[1]"),
    ("If-Match: *", "api/plans/editions.py", 'if_match.strip() != "*" and row.edition', "row.edition"),
    ("Retry-After rounded down", "api/service/rate_limit.py", "math.ceil(", "math.floor("),
    ("a workshop with no free core", "worker/records/claiming.py",
     "not free.lost and not kind.may_begin(", "False and ("),
    ("a stop not heard", "worker/solving/control.py", "asked = self._stop.is_set()", "asked = False"),
    ("accepted and rejected swapped", "planner/quality/switching.py", "+= not accepted", "+= accepted"),
    ("a slip of what was due before the start", "planner/slips/slip.py",
     "campaign.start if clock.seconds(moment) < 0 else moment", "moment"),
    ("leftovers ignoring arrivals", "planner/material/buying.py",
     "used - terms.stock_kg - arriving))", "used - terms.stock_kg))"),
    ("exactly twice the smallest lot", "planner/demand/lots.py", "shots < 2 * smallest", "shots <= 2 * smallest"),
    ("negative rework days", "planner/reading/checks/uncertainty.py",
     "_range(tool.first_trial.rework_days, 0, ", "_range(tool.first_trial.rework_days, -9, "),
    ("the first pick-up", "planner/calendars/pickups.py", "range(days + 1)", "range(1, days + 1)"),
)  # fmt: skip


def named(root: Path = ROOT) -> list[Fault]:
    """The faults that were once missed. Raises ValueError where the sources no longer hold the text of one, once."""
    found = []
    for title, path, old, new in NAMED:
        data = (root / path).read_bytes()
        if data.count(old.encode()) != 1:
            raise ValueError(f"{title}: {path} holds {old!r} {data.count(old.encode())} times, not once")
        begin = data.index(old.encode())
        found.append(Fault(path, begin, begin + len(old.encode()), new, title))
    return found


def places(path: Path, root: Path = ROOT) -> list[Fault]:
    """Every fault that could be made inside the functions of a file."""
    data = path.read_bytes()
    starts = [0]
    for line in data.split(b"\n"):
        starts.append(starts[-1] + len(line) + 1)

    def span(node: ast.expr) -> tuple[int, int]:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return starts[node.lineno - 1] + node.col_offset, starts[node.end_lineno - 1] + node.end_col_offset

    name = str(path.relative_to(root))

    def between(left: ast.expr, right: ast.expr, new: str) -> Iterator[Fault]:
        begin, end = span(left)[1], span(right)[0]
        gap = data[begin:end].strip()
        if gap and b"(" not in gap and b")" not in gap and b"\n" not in gap and b"#" not in gap:
            yield Fault(name, begin, end, f" {new} ")

    def of(node: ast.AST) -> Iterator[Fault]:
        if isinstance(node, ast.Compare) and len(node.ops) == 1:
            yield from between(node.left, node.comparators[0], COMPARED[type(node.ops[0])])
        elif (
            isinstance(node, ast.BinOp) and type(node.op) in REPLACED and not _text(node.left) and not _text(node.right)
        ):
            yield from between(node.left, node.right, REPLACED[type(node.op)])
        elif isinstance(node, ast.BoolOp):
            other = "or" if isinstance(node.op, ast.And) else "and"
            yield from between(node.values[0], node.values[1], other)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SWAPPED:
            yield Fault(name, *span(node.func), SWAPPED[node.func.id])
        elif isinstance(node, ast.If | ast.IfExp | ast.While):
            begin, end = span(node.test)
            yield Fault(name, begin, end, f"(not ({data[begin:end].decode()}))")
        elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
            yield Fault(name, *span(node), str(not node.value))
        elif isinstance(node, ast.Constant) and isinstance(node.value, int):
            yield Fault(name, *span(node), str(node.value + 1))

    def walk(node: ast.AST) -> Iterator[Fault]:
        """Not in words that are shown, nor in what only types see."""
        yield from of(node)
        for field, value in ast.iter_fields(node):
            if field in {"annotation", "returns", "decorator_list", "type_params"}:
                continue
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST) and not isinstance(child, ast.JoinedStr | ast.Raise | ast.Assert):
                    yield from walk(child)

    tree = ast.parse(data)
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]
    outer = [one for one in functions if not any(one is not other and one in ast.walk(other) for other in functions)]
    return [fault for function in outer for statement in function.body for fault in walk(statement)]


def _text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr | ast.List | ast.Tuple | ast.Dict | ast.Set) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str | bytes)
    )


def faults(seed: int, number: int, root: Path = ROOT) -> list[Fault]:
    """The named ones, then as many as are asked for, of each layer in turn; at most one a file.

    Files, and in a file its faults, come in the order of a hash of the seed and of what they say: what is added
    elsewhere moves nothing, and a new file takes the place of one other at most.
    """
    found = named(root)[:number]
    used = {fault.path for fault in found}
    turns = []
    for layer in LAYERS:
        files = [one for one in (root / layer).rglob("*.py") if not any(part in SKIPPED for part in one.parts)]
        turns.append(iter(sorted(files, key=lambda one: _rank(seed, one.relative_to(root).as_posix()))))
    while len(found) < number:
        for left in turns:
            for file in left:
                options = places(file, root)
                if options and file.relative_to(root).as_posix() not in used:
                    found.append(min(options, key=lambda one: _rank(seed, one.told_apart(root))))
                    break
    return found[:number]


def _rank(seed: int, text: str) -> bytes:
    return hashlib.sha256(f"{seed}:{text}".encode()).digest()


def nearest(path: str, most: int, root: Path = ROOT) -> list[str]:
    """So many files of tests, none of which starts services or a browser, in this order: those of the module's own
    folder that import it or bear all of its name; those that hold it against its plain twin, the module of that name in
    a folder `plain` beside them; those of its folder that bear some of its name; those of other folders that import it;
    those that bear its name; those that ask at an address it answers; those that import what imports it, bear the name
    of that, or ask at an address of that, by turns with the rest of its folder. Tests of a layer below know nothing of
    it.

    Among equals first those whose name has most of its words, then those that say such a word most often.
    """
    texts = {one: text for one, text in _texts(root, "tests").items() if Path(one).name.startswith("test_")}
    blind = tuple(f"tests/{layer}/" for layer in LAYERS[: LAYERS.index(path.partition("/")[0])])  # know nothing of it
    usual = {one: text for one, text in texts.items() if not one.startswith((*ELSEWHERE, *blind))}
    words = _words(path)

    def alike(test: str, module: str) -> int:
        """How many of the module's words are in the test's name; all of them where it is written in one word."""
        name, asked = Path(test).stem, _words(module)
        shared = sum(word in name for word in asked)
        return len(asked) if shared < len(asked) and "".join(asked) in name.replace("_", "") else shared

    def closeness(test: str) -> tuple[int, int]:
        return -alike(test, path), -sum(texts[test].count(word) for word in words)

    def bearing(module: str) -> list[str]:
        return [one for one in usual if alike(one, module) == len(_words(module)) > 0]

    def taking(module: str) -> list[str]:
        return [one for one, text in usual.items() if _imports(text, module) or _by_its_package(text, module, root)]

    def asking(module: str) -> list[str]:
        said = [re.compile(rf"{re.escape(address)}(?![\w-])") for address in _addresses(module, root)]
        ours = {one: text for one, text in usual.items() if one.startswith("tests/api/")}
        return [one for one, text in ours.items() if any(address.search(text) for address in said)]

    own = sorted(_folder(path, list(usual)), key=closeness)
    importing = sorted(taking(path), key=closeness)
    found = [one for one in importing if one in own]
    found += [one for one in own if alike(one, path) == len(words) > 0]
    found += _against_its_twin(path, own, root)
    found += [one for one in own if alike(one, path)]
    found += importing
    found += sorted(bearing(path), key=closeness)
    found += sorted(asking(path), key=closeness)
    above = [module for layer in LAYERS for module, text in _texts(root, layer).items() if _imports(text, path)]
    further = [one for module in above for one in (*taking(module), *asking(module))]
    further += [one for module in above if len(_words(module)) > 1 for one in bearing(module)]
    by_turns = zip_longest(sorted(dict.fromkeys(further), key=lambda one: (-further.count(one), closeness(one))), own)
    found += [one for pair in by_turns for one in pair if one]
    for module in above:
        found += sorted(_folder(module, list(usual)), key=closeness)
    return list(dict.fromkeys(found))[:most]


def _addresses(module: str, root: Path) -> list[str]:
    """The last fixed piece of each address that a module's routes answer: `/plan-again` of `/{plan_id}/plan-again`."""
    text = _texts(root, module.partition("/")[0]).get(module, "")
    asked = re.findall(r"@router\.\w+\(\s*\"([^\"]+)\"", text)
    last = [[piece for piece in one.split("/") if piece and "{" not in piece][-1:] for one in asked]
    return list(dict.fromkeys(f"/{piece}" for pieces in last for piece in pieces))


def _words(path: str) -> list[str]:
    return [word for word in Path(path).stem.split("_") if len(word) > 3]


def _folder(module: str, tests: list[str]) -> list[str]:
    """The tests of the nearest folder above that has any."""
    for above in Path(module).parents:
        found = [one for one in tests if one.rpartition("/")[0] == f"tests/{above}"]
        if found:
            return found
    return []


def _against_its_twin(path: str, own: list[str], root: Path) -> list[str]:
    """Those of its folder's tests that take from the folder of plain twins, if its twin is there: first that of the
    whole evaluator."""
    module = Path(path)
    if not (root / "tests" / module.parent / "plain" / module.name).exists():
        return []
    folder = f"tests.{'.'.join(module.parent.parts)}.plain."
    held = [one for one in own if any(name.startswith(folder) for name in _imported((root / one).read_text()))]
    return sorted(held, key=lambda one: ("evaluator" not in one, one))


@cache
def _texts(root: Path, folder: str) -> dict[str, str]:
    """Each module of a folder, by its path: as it stood when it was first asked for, before anything is changed."""
    files = sorted((root / folder).rglob("*.py"))
    return {one.relative_to(root).as_posix(): one.read_text(encoding="utf-8") for one in files}


def _by_its_package(text: str, path: str, root: Path) -> bool:
    """Whether a test takes from the module's package, which hands on what the module has."""
    folder = path.rpartition("/")[0]
    if f"from {folder.replace('/', '.')} import" not in text:
        return False
    handed_on = _texts(root, path.partition("/")[0]).get(f"{folder}/__init__.py", "")
    return _imports(handed_on, path)


def _imports(text: str, path: str) -> bool:
    return path.removesuffix(".py").replace("/", ".") in _imported(text)


@cache
def _imported(text: str) -> frozenset[str]:
    """Every module that a text names in an import, and each name taken from one as if it were a module."""
    found = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{one.name}" for one in node.names)}
        elif isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
    return frozenset(found)


def environment(root: Path) -> dict[str, str]:
    """Of whatever runs in the copy: its own sources. Compiled code is found by what it was compiled from, so that a
    folder for it that is named outside may be shared."""
    return {"NUMBA_CACHE_DIR": str(root / "compiled")} | os.environ | {"PYTHONPATH": str(root)}


def run(tests: list[str], root: Path, seconds: float) -> str:
    """Whether the tests "passed", came to "no end" in that copy, or the name of the first that failed. seconds: of the
    processor, since a busy machine makes a clock lie; by the clock ten times as many."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    limit = partial(resource.setrlimit, resource.RLIMIT_CPU, (int(seconds), int(seconds)))
    try:
        ended = subprocess.run(
            command, cwd=root, env=environment(root), capture_output=True, timeout=10 * seconds, check=False,
            preexec_fn=limit,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return "no end"
    if ended.returncode == 0:
        return "passed"
    if ended.returncode < 0:
        return "no end"
    named = re.search(r"^(?:FAILED|ERROR) (\S+)", ended.stdout.decode(errors="replace"), re.M)
    return named[1] if named else "failed"


def copied(to: Path) -> Path:
    """The sources laid out in a folder of their own."""
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, to / name)
        elif source.exists():
            shutil.copy2(source, to / name)
    return to


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seed", type=int, default=21)
    parser.add_argument("--number", type=int, default=60)
    parser.add_argument("--only", default="", help="numbers of faults, with commas between")
    parser.add_argument("--list", action="store_true", help="say which faults and tests, run nothing")
    parser.add_argument("--most-files", type=int, default=6)
    parser.add_argument("--seconds", type=float, default=300.0, help="of the processor, for the tests of one fault")
    given = parser.parse_args()
    chosen = {int(one) for one in given.only.split(",") if one}
    caught, tried, unsound = 0, 0, 0
    sound: set[str] = set()
    with tempfile.TemporaryDirectory(prefix="mutation-") as folder:
        root = ROOT if given.list else copied(Path(folder))
        if not given.list:  # built beforehand: tests that wait for a plan do not wait as long as building takes
            warm = [sys.executable, "-c", "from planner.schedule.warm import warm; warm()"]
            subprocess.run(warm, cwd=root, env=environment(root), check=True)
        for n, fault in enumerate(faults(given.seed, given.number), start=1):
            if chosen and n not in chosen:
                continue
            tests = nearest(fault.path, given.most_files)
            if given.list:
                print(f"{n:3} {fault.said()}\n      {' '.join(tests)}", flush=True)
                continue
            tried += 1
            file = root / fault.path
            whole = file.read_bytes()
            file.write_bytes(whole[: fault.begin] + fault.new.encode() + whole[fault.end :])
            verdict = run(tests, root, given.seconds) if tests else "passed"
            file.write_bytes(whole)
            noticed = [verdict.partition("[")[0]] if verdict.startswith("tests/") else tests
            if verdict != "passed" and not sound.issuperset(noticed):
                without = run(noticed, root, given.seconds)
                if without != "passed":
                    unsound += 1
                    print(f"{n:3} UNSOUND without it: {without}  {fault.said()}", flush=True)
                    continue
                sound.update(noticed)
            caught += verdict != "passed"
            outcome = "MISSED" if verdict == "passed" else f"caught by {verdict}"
            print(f"{n:3} {outcome}  {fault.said()}", flush=True)
    if not given.list:
        print(f"caught {caught} of {tried}; {unsound} whose tests did not pass without the fault")


if __name__ == "__main__":
    main()
