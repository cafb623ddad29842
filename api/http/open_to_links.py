"""What a link opens: routes of its one plan. What is not named here it does not open."""

from worker.records.shared_links import May

Opened = frozenset[tuple[str, str]]
_PLAN, _PROGRAMS = "/plans/{plan_id}", "/v1/plans/{plan_id}"
_READ = {
    ("GET", path)
    for path in (
        _PLAN,
        *(f"{_PLAN}/{leaf}" for leaf in ("press", "floor", "runs", "buying", "purge", "pictures", "paper", "revised")),
        f"{_PLAN}/runs/{{run_id}}",
        _PROGRAMS,
        *(f"{_PROGRAMS}/{what}" for what in ("events", "actuals", "paper", "paper.pdf", "pictures")),
        f"{_PROGRAMS}/pictures/{{name}}.svg",
    )
}
_LOG = {(method, path) for method in ("GET", "POST") for path in (f"{_PLAN}/press", f"{_PROGRAMS}/actuals")}
OPEN_TO: dict[May, Opened] = {"read": frozenset(_READ), "log": frozenset(_LOG)}
"""Orders, what people were told and what they gave are in neither, nor is any other plan."""
