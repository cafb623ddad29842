"""Questions that take their time, as pages see them: begun by a form, shown as far as they are, kept for later."""

from typing import Any

from fastapi import Request

from api.pages.api_client import ask


def begin(request: Request, plan_id: str, kind: str, question: dict[str, Any]) -> str:
    """Has the workers asked; gives the study's id. Asked before of the same plan, it is the same study."""
    answer = ask(request, "POST", f"/v1/plans/{plan_id}/{kind}", question, prefer="respond-async")
    return str(answer.headers["location"]).rpartition("/")[2]


def standing(
    request: Request,
    plan_id: str,
    kind: str,
    study_id: str | None,
    revision: int | None = None,
    question: dict[str, Any] | None = None,
) -> dict[str, Any] | None:
    """The study asked for, or the newest of that kind that was not given up, with all it has said; None if none.

    revision: of the plan; a study of an earlier one is only shown where it is asked for. question: which one of that
    kind, None: any."""
    if study_id is None:
        most = 20 if question is None else 100
        found = ask(request, "GET", f"/v1/plans/{plan_id}/studies?kind={kind}&limit={most}").json()["studies"]
        study_id = next(
            (
                one["id"]
                for one in found
                if one["status"] not in {"cancelled", "failed"}
                and revision in {None, one["plan_revision"]}
                and question in (None, one["question"])
            ),
            None,
        )
    if study_id is None:
        return None
    study: dict[str, Any] = ask(request, "GET", f"/v1/studies/{study_id}").json()
    return study if study["plan"] == plan_id and study["kind"] == kind else None


def said(study: dict[str, Any] | None, kind: str) -> list[Any]:
    """What a study has said of one kind, in the order it was worked out."""
    return [one[kind] for one in study["so_far"] if kind in one] if study else []
