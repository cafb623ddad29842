"""Services know nothing of HTTP's requests and responses; what is through asks them and opens no transaction itself.

Nor does anybody borrow from a module of routes: what two of them need stands in a service, or in a module of its own.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

API = Path(__file__).resolve().parents[2] / "api"
BESIDE = {"service/counting.py", "serving/kept.py", "serving/keys.py", "serving/strangers.py"}
"""What looks into the records beside or before a service: the start, metrics, the shell."""
ALLOWED = ("api.services", "api.service", "api.uploads")
ASSEMBLE = {"app.py", "openapi.py", "__main__.py"}
"""What puts the service and its description together out of the modules of routes; so does each `routes.py`."""
STATEMENTS = {"sqlalchemy", "worker.records.tables"}


def sources(place: Path) -> list[Path]:
    return sorted(place.rglob("*.py"))


def imported(tree: ast.AST) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module} if node.module != "api" else {f"api.{alias.name}" for alias in node.names}
    return found


def transactions(tree: ast.AST) -> Iterator[int]:
    """The lines on which one is opened: `with ....read()` or `.write()` of a database."""
    for node in ast.walk(tree):
        if isinstance(node, ast.With | ast.AsyncWith):
            for item in node.items:
                call = item.context_expr
                if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute):
                    owner = call.func.value
                    name = owner.attr if isinstance(owner, ast.Attribute) else getattr(owner, "id", "")
                    if call.func.attr in {"read", "write"} and name == "database":
                        yield node.lineno


def test_a_transaction_is_seen():
    """Of a service's database or of one at hand; not of a file."""
    lines = ["with service.database.write() as c: pass", "with database.read() as c: pass", "with file.read(): pass"]
    tree = ast.parse("\n".join(lines))
    assert list(transactions(tree)) == [1, 2]


def test_services_know_no_http():
    """Neither the framework nor what formats its answers; refusals are theirs to raise."""
    found = sources(API / "services")
    assert len(found) > 2
    barred = {
        f"{path.name}: {module}"
        for path in found
        for module in imported(ast.parse(path.read_text()))
        if module.split(".")[0] in {"fastapi", "starlette"}
        or (module.startswith("api.") and not module.startswith(ALLOWED))
    }
    assert barred == set()


def test_routes_and_pages_leave_transactions_to_the_services():
    """Nor do they know statements."""
    opened = []
    others = [path for path in sources(API) if path.parent.name != "services"]
    assert len(others) > 150
    for path in others:
        name = str(path.relative_to(API))
        tree = ast.parse(path.read_text())
        if name not in BESIDE:
            opened += [f"{name}:{line}" for line in transactions(tree)]
        opened += [f"{name} imports {module}" for module in imported(tree) & STATEMENTS]
    assert opened == []
    assert all(any(transactions(ast.parse((API / name).read_text()))) for name in BESIDE)


def routes() -> set[str]:
    """The modules that have addresses of their own."""
    found = [path for path in sources(API) if "APIRouter(" in path.read_text()]
    return {".".join(path.relative_to(API.parent).with_suffix("").parts) for path in found}


def borrowed(name: str, text: str, from_: set[str]) -> list[str]:
    """What a file takes from modules of routes."""
    return [
        f"{name}:{node.lineno} takes {alias.name} from {node.module}"
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.ImportFrom) and node.module
        for alias in node.names
        if node.module in from_ or f"{node.module}.{alias.name}" in from_
    ]


def test_a_loan_is_seen():
    """By name, and as a whole module."""
    text = "from api.workshop.keys import KeyWish\nfrom api.pages import press\nfrom api.services import keys"
    assert len(borrowed("x.py", text, {"api.workshop.keys", "api.pages.press"})) == 2


def test_nobody_borrows_from_a_module_of_routes():
    """Neither pages from the API's, nor one page from another's."""
    there = routes()
    assert len(there) > 60
    found = []
    for path in sources(API):
        name = str(path.relative_to(API))
        if name not in ASSEMBLE and path.name != "routes.py":
            found += borrowed(name, path.read_text(), there)
    assert found == []
