"""Is a slip a big problem, what would help: asked of the workers, shown cell by cell as they answer."""

from typing import Annotated, Any

from fastapi import APIRouter, Form, Path, Query, Request, Response
from fastapi.responses import RedirectResponse
from markupsafe import Markup

from api.languages.sentences import said as in_words
from api.pages.api_client import ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.study import begin, said, standing
from api.pages.templating import page, twice
from api.pages.typed import amount
from api.pictures.slips import slips_svg
from api.plans.parameters import PlanId
from api.service import TheService
from api.service.refusals import NotFound
from api.services.published import Published, find_published
from api.studies.picture import slips_so_far
from planner.promise.scenarios import draw
from planner.slips.document import Goal, Lever
from planner.slips.levers import best
from planner.slips.slip import things
from planner.studies.knowing import ranked
from worker.records.ids import PATTERN
from worker.records.statuses import OPEN

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Text = Annotated[str, Form(max_length=100)]
LongText = Annotated[str, Form(max_length=300)]
GOALS: dict[Goal, str] = {
    "either": "sooner, less waste or cheaper",
    "sooner": "only what is sooner",
    "less waste": "only less waste",
}
StudyAsked = Annotated[str | None, Query(pattern=PATTERN)]


@router.get("/{plan_id}/slips")
def slips(
    plan_id: PlanId, request: Request, service: TheService, caller: PageReader, study: StudyAsked = None
) -> Response:
    """The question, and what is known of it, worst first."""
    shown = find_published(service, caller.workshop_id, plan_id)
    standing_ = standing(request, plan_id, "slip-table", study, shown.revision)
    return page(
        "slips.html",
        here="what-if",
        leaf="slips",
        **_of_plan_and_study(shown, standing_),
        things=[name for _, name in things(shown.campaign)],
        only=standing_["question"]["only"] if standing_ else [],
        rows=slip_rows(standing_),
        picture=slip_picture(standing_),
    )


@router.post("/{plan_id}/slips")
def ask_slips(plan_id: PlanId, request: Request, caller: PageMaker, only: Text = "all") -> Response:
    """Every tool and piece, or one."""
    question = {} if only == "all" else {"only": [only]}
    study = begin(request, plan_id, "slip-table", question)
    return RedirectResponse(f"/plans/{plan_id}/slips?study={study}", 303)


@router.get("/{plan_id}/levers")
def levers(
    plan_id: PlanId, request: Request, service: TheService, caller: PageReader, study: StudyAsked = None
) -> Response:
    """The question, and the changes found so far that would help."""
    shown = find_published(service, caller.workshop_id, plan_id)
    standing_ = standing(request, plan_id, "levers", study, shown.revision)
    found = [Lever.model_validate(one) for one in said(standing_, "lever")]
    goal: Goal = standing_["question"].get("goal", "either") if standing_ else "either"
    return page(
        "levers.html",
        here="what-if",
        leaf="levers",
        **_of_plan_and_study(shown, standing_),
        tier=(standing_["question"]["tier"] if standing_ else None) or "",
        goal=goal,
        goals=GOALS,
        found=best(found, goal=goal),
        numbers={lever.title: n for n, lever in enumerate(found)},
        tried=standing_["parts"] - 1 if standing_ else 0,
    )


@router.post("/{plan_id}/levers")
def ask_levers(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageMaker,
    tier: Text = "",
    goal: Text = "either",
    take: Text = "",
) -> Response:
    """Looks for what would help; or plans one that was found, as a variant."""
    if take:
        return _take(plan_id, request, service, caller.workshop_id, take)
    study = begin(request, plan_id, "levers", {"tier": tier or None, "goal": goal})
    return RedirectResponse(f"/plans/{plan_id}/levers?study={study}", 303)


def _take(plan_id: str, request: Request, service: TheService, workshop_id: str, take: str) -> Response:
    """`take` is a study's id and the lever's number in what it said."""
    study_id, _, number = take.partition(" ")
    found = said(standing(request, plan_id, "levers", study_id), "lever")
    if not number.isdecimal() or int(number) >= len(found):
        raise NotFound("There is no such change.")
    lever = found[int(number)]
    title = find_published(service, workshop_id, plan_id).row.title
    wish = {"variants": [{"title": f"{title}: {lever['title']}"[:200], "patch": lever["patch"]}]}
    answer = ask(request, "POST", f"/v1/plans/{plan_id}/variants", wish).json()
    return RedirectResponse(f"/plans/{answer['plans'][0]['id']}", 303)


@router.get("/{plan_id}/knowing")
def knowing(
    plan_id: PlanId, request: Request, service: TheService, caller: PageReader, study: StudyAsked = None
) -> Response:
    """What it is worth to know today how a thing turns out, as far as it is worked out."""
    shown = find_published(service, caller.workshop_id, plan_id)
    standing_ = standing(request, plan_id, "knowing", study, shown.revision)
    return page(
        "knowing.html",
        here="promises",
        leaf="knowing",
        **_of_plan_and_study(shown, standing_),
        unsure=shown.campaign.uncertainty is not None,
        found=ranked(said(standing_, "known"))["things"],
        sure=said(standing_, "sure"),
        factors=_factors(shown) if shown.campaign.uncertainty is not None else [],
    )


@router.post("/{plan_id}/knowing")
def ask_knowing(
    plan_id: PlanId, request: Request, caller: PageMaker, thing: LongText = "", value: Text = ""
) -> Response:
    """Looks into everything that is unsure, and into one thing were it sure to turn out so."""
    stated = amount(value, "value", {}) if value.strip() else None
    study = begin(request, plan_id, "knowing", {"values": {thing: stated}} if thing and stated is not None else {})
    return RedirectResponse(f"/plans/{plan_id}/knowing?study={study}", 303)


def _factors(shown: Published) -> list[tuple[str, str]]:
    """What is unsure, by name, with what it is counted in."""
    units = {"days": "days later than planned", "share": "times as planned", "outcome": "number of its outcome, from 0"}
    found = draw(shown.campaign, 1, 0).factors
    return [(one.name, f"{in_words(one.about)} ({in_words(units.get(one.unit, one.unit))})") for one in found]


@router.post("/{plan_id}/studies/{study_id}/stop")
def stop(
    plan_id: PlanId,
    study_id: Annotated[str, Path(pattern=PATTERN)],
    request: Request,
    caller: PageMaker,
    back: Text = "slips",
) -> Response:
    """No more is begun; what is there stays."""
    state = ask(request, "GET", f"/v1/studies/{study_id}").json()
    if state["status"] in OPEN:
        ask(request, "POST", f"/v1/studies/{study_id}/stop")
    leaf = back if back in {"slips", "levers", "promises", "knowing"} else "slips"
    return RedirectResponse(f"/plans/{plan_id}/{leaf}?study={study_id}", 303)


def _of_plan_and_study(shown: Published, study: dict[str, Any] | None) -> dict[str, Any]:
    """What each of these pages says of its plan and its study."""
    waits = study is not None and study["status"] in OPEN
    return {"row": shown.row, "plan": shown.plan, "study": study, "waits": waits}


def slip_picture(study: dict[str, Any] | None) -> Markup | None:
    """The table's whole rows as a picture; None while there is none."""
    if study is None or not said(study, "row"):
        return None
    table = slips_so_far(study["so_far"], study["question"]["slips"])
    return twice(lambda width: slips_svg(table, width), 1200)


def slip_rows(study: dict[str, Any] | None) -> list[dict[str, Any]]:
    """The slip table as far as it is there: what has its verdict worst first, then what is still being worked out."""
    rows: dict[tuple[str, str], dict[str, Any]] = {(row["kind"], row["name"]): dict(row) for row in said(study, "row")}
    for cell in said(study, "cell"):
        row = rows.setdefault(
            (cell["kind"], cell["name"]), {"kind": cell["kind"], "name": cell["name"], "verdict": "", "words": ""}
        )
        worst = max((tier["days"] for tier in cell["tiers"]), default=0)
        heat = 3 if not cell["possible"] or worst > 7 else 2 if worst > 2 else 1 if worst > 0 else 0
        row.setdefault("slips", {}).setdefault(cell["days"], []).append(cell | {"heat": heat})
    for row in rows.values():
        by_days = row.get("slips", {})
        row["slips"] = {days: sorted(by_days[days], key=lambda c: str(c["policy"])) for days in sorted(by_days)}
    order = [(one["kind"], one["name"]) for table in said(study, "table") for one in table]
    place = {key: n for n, key in enumerate(order)}

    def harm(key: tuple[str, str]) -> tuple[int, bool, float]:
        row = rows[key]
        told = row.get("harm", 0.0)
        return place.get(key, len(place)), not row["verdict"], -float("inf") if told is None else -told

    return [rows[key] for key in sorted(rows, key=harm)]
