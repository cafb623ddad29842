"""Texts that the code puts together for people, read from its syntax trees: constants and f-strings as templates."""

import ast
import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
WORD = re.compile(r"[A-Za-z][a-z]*[.,:;]?")
_FORMAT = re.compile(r"\{([a-z_]*)(?::[^{}\"]*)?\}")
"""A gap of `str.format` in a constant."""
NOT_SAID = {"Field", "Query", "Header", "APIRouter", "compile", "TypeAdapter", "Path", "text", "entry", "Struct"}
"""Calls whose texts no reader of a plan ever sees: descriptions of fields for programs, patterns, statements."""
NOT_SAID_AS = {"summary", "description", "responses"}
"""Arguments of any call that only programs and the OpenAPI document read."""
MOST_WAYS = 24


@dataclass(frozen=True)
class Template:
    """A text with gaps. pieces: its words, a None for each gap; where: file and line; mistake: a ValueError's."""

    where: str
    pieces: tuple[str | None, ...]
    mistake: bool = False

    def __str__(self) -> str:
        return "".join("{}" if piece is None else piece for piece in self.pieces)


def templates(folder: str) -> Iterator[Template]:
    """Every text of at least three words in a folder's (or file's) Python, but for docstrings."""
    top = ROOT / folder
    for path in [top] if top.is_file() else sorted(top.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        silent, mistakes = set(_silent(tree)), set(_mistakes(tree))
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant | ast.JoinedStr) and node not in silent:
                for pieces in _ways(node):
                    if (
                        sum(
                            WORD.fullmatch(word) is not None
                            for word in " ".join(piece or "7" for piece in pieces).split()
                        )
                        >= 3
                    ):
                        yield Template(f"{path.relative_to(ROOT)}:{node.lineno}", pieces, node in mistakes)


def _silent(tree: ast.Module) -> Iterator[ast.AST]:
    """What is no text for people: docstrings, arguments of some calls, what stands inside another text."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node.value
        elif isinstance(node, ast.JoinedStr):
            yield from (inner for inner in ast.walk(node) if inner is not node)
        elif isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            for given in node.keywords:
                if given.arg in NOT_SAID_AS:
                    yield from ast.walk(given.value)
            if name in NOT_SAID:
                yield from (inner for inner in ast.walk(node) if inner is not node)


def _mistakes(tree: ast.Module) -> Iterator[ast.AST]:
    """What stands in a ValueError that is raised."""
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Raise)
            and isinstance(node.exc, ast.Call)
            and ast.unparse(node.exc.func) == "ValueError"
        ):
            yield from ast.walk(node.exc)


def _ways(node: ast.expr) -> list[tuple[str | None, ...]]:
    """What a text may be: `f"{n} {'day' if n == 1 else 'days'}"` is two."""
    if isinstance(node, ast.Constant):
        return [_with_gaps(node.value)] if isinstance(node.value, str) else [(None,)]
    if isinstance(node, ast.IfExp):
        return [*_ways(node.body), *_ways(node.orelse)]
    if isinstance(node, ast.FormattedValue):
        return _ways(node.value) if isinstance(node.value, ast.IfExp | ast.JoinedStr) else [(None,)]
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        return _joined([node.left, node.right])
    if isinstance(node, ast.JoinedStr):
        return _joined(node.values)
    return [(None,)]


def _with_gaps(text: str) -> tuple[str | None, ...]:
    """A constant with `{name}` in it, to be filled later, too."""
    pieces = _FORMAT.split(text)
    return tuple(piece if n % 2 == 0 else None for n, piece in enumerate(pieces) if n % 2 or piece)


def _joined(values: list[ast.expr]) -> list[tuple[str | None, ...]]:
    ways = itertools.islice(itertools.product(*map(_ways, values)), MOST_WAYS)
    return [tuple(itertools.chain.from_iterable(way)) for way in ways]
