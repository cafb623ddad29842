"""What was refused is told on the form: each problem to its field, or in one sentence where there is none."""

from types import SimpleNamespace

from api.pages.form_shown import tell


def told(problems: list[tuple[str, str, str]], known: dict[str, list[str]]) -> dict[str, list[str]]:
    """What stands on the form after a refusal. problems: pointer, message, remedy. known: what stood there before."""
    refused = SimpleNamespace(
        problems=[SimpleNamespace(pointer=a, message=b, remedy=c) for a, b, c in problems], detail="Come again later."
    )
    fields = {"/tools/cup/cycle_s": "tools.0.cycle_s", "/parts/cup": "parts.0.id"}
    tell(refused, SimpleNamespace(field_of=lambda pointer: fields.get(pointer, "")), known)  # type: ignore[arg-type]
    return known


def test_each_problem_stands_at_its_field_and_nothing_is_told_twice():
    """Where a field could not be read, that is what is said there; what has no field stands above with its place."""
    found = [
        ("/tools/cup/cycle_s", "must be more", "say seconds"),
        ("/parts/cup", "missing", ""),
        ("/orders", "none", ""),
    ]
    assert told(found, {"parts.0.id": ["no word"]}) == {
        "parts.0.id": ["no word"], "tools.0.cycle_s": ["must be more; say seconds"], "": ["/orders: none"],
    }  # fmt: skip


def test_a_refusal_that_names_nothing_is_told_as_a_whole():
    """For instance when too much waits already."""
    assert told([], {}) == {"": ["Come again later."]}
