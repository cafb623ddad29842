"""One run: what it is, why it is where it is, what it would cost on another press, and a form to move it by a wish."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request, Response
from fastapi.responses import RedirectResponse
from pydantic import ValidationError

from api.http.forms import SentForm
from api.languages import wording
from api.pages import measures
from api.pages.api_client import Answered, ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.study import begin, said, standing
from api.pages.templating import of_plan, page
from api.paper.writing import cautions_of
from api.pictures.colours import swatches
from api.plans.parameters import PlanId
from api.service import TheService
from api.service.refusals import NotFound
from api.services.acting import now_acting
from api.services.published import Published, find_published
from planner.campaign.wishes import Wish, WishedRuns
from planner.plan.document import Run
from planner.plan.wishes import begins, colours_of, named, words
from planner.slips.document import Elsewhere
from planner.slips.elsewhere import presses_for, prices
from worker.records.ids import PATTERN
from worker.records.statuses import OPEN

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
RunId = Annotated[str, Path(max_length=60)]
StudyAsked = Annotated[str | None, Query(pattern=PATTERN)]
Dropped = Annotated[str, Query(max_length=200)]
SAME_PLACE = timedelta(minutes=30)
"""A run let go this near to where it was stays there."""
WHEN = (("", "whenever it fits"), ("not_before", "not before"), ("done_by", "done by"))


@dataclass(frozen=True)
class Neighbours:
    """What stands before and after a run on its press."""

    before: Run | None
    after: Run | None


@router.get("/{plan_id}/runs/{run_id}")
def one_run(
    plan_id: PlanId,
    run_id: RunId,
    request: Request,
    service: TheService,
    caller: PageReader,
    press: Dropped = "",
    at: Dropped = "",
    study: StudyAsked = None,
) -> Response:
    """press, at: where somebody let it go in the picture; they fill the form in, and nothing is done yet."""
    shown = find_published(service, caller.workshop_id, plan_id)
    run = _run(shown, run_id)
    return _shown(request, shown, run, _let_go(run, press, at), {}, study=study)


@router.post("/{plan_id}/runs/{run_id}/elsewhere")
def ask_elsewhere(plan_id: PlanId, run_id: RunId, request: Request, service: TheService, caller: PageMaker) -> Response:
    """Has the workers plan these runs on each other press that fits."""
    run = _run(find_published(service, caller.workshop_id, plan_id), run_id)
    study = begin(request, plan_id, "elsewhere", _question(run))
    return RedirectResponse(f"/plans/{plan_id}/runs/{run_id}?study={study}#elsewhere", 303)


@router.post("/{plan_id}/runs/{run_id}/move")
def move(
    plan_id: PlanId, run_id: RunId, request: Request, service: TheService, caller: PageMaker, form: SentForm
) -> Response:
    """The runs wished elsewhere, planned beside this plan: what it costs is said there, before anybody takes it."""
    shown = find_published(service, caller.workshop_id, plan_id)
    run = _run(shown, run_id)
    typed = {name: value.strip() for name, value in form.items() if isinstance(value, str)}
    problems: dict[str, str] = {}
    wished = _wished(run, typed, problems)
    if not problems:
        try:
            wishes = [Wish.model_validate(one) for one in wished]
            listed = [*shown.campaign.model_dump(mode="json", exclude_unset=True).get("wishes", []), *wished]
            title = f"{shown.row.title}: {', '.join(map(words, wishes))}"
            body = {"variants": [{"title": title[:200], "patch": {"wishes": listed}}]}
            answer = ask(request, "POST", f"/v1/plans/{plan_id}/variants", body).json()
            return RedirectResponse(f"/plans/{answer['plans'][0]['id']}", 303)
        except ValidationError as error:
            problems["move-day"] = str(error.errors()[0]["msg"])
        except Answered as refused:
            problems["move-press"] = refused.told
    return _shown(request, shown, run, typed, problems, 422)


def _run(shown: Published, run_id: str) -> Run:
    found = next((run for run in shown.plan.runs if run.id == run_id), None)
    if found is None:
        raise NotFound("This plan has no such run any more: it was planned again since. Look at its runs.")
    return found


def _question(run: Run) -> dict[str, Any]:
    return {"tool": run.tool, "colours": colours_of(run)}


def _let_go(run: Run, press: str, at: str) -> dict[str, str]:
    """What the form says for a run that was let go there. On another press the plan finds the moment itself."""
    if press and press != run.press:
        return {"move-press": press}
    try:
        moment = datetime.fromisoformat(at).replace(tzinfo=run.start.tzinfo)
    except ValueError:
        return {}
    by = moment - run.start
    if abs(by) < SAME_PLACE:
        return {}
    wish, when = ("not_before", begins(run) + by) if by > timedelta() else ("done_by", _next_hour(run.end + by))
    when = when.replace(minute=0)
    return {"move-when": wish, "move-day": when.date().isoformat(), "move-time": f"{when:%H:%M}"}


def _next_hour(when: datetime) -> datetime:
    """Within the hour in which `when` or the second before it is over."""
    return when + timedelta(minutes=59, seconds=59)


def _wished(run: Run, typed: dict[str, str], problems: dict[str, str]) -> list[dict[str, Any]]:
    """What the form says, as wishes in a campaign."""
    runs = _question(run)
    press, when, day, time = (typed.get(f"move-{name}", "") for name in ("press", "when", "day", "time"))
    found: list[dict[str, Any]] = [{"runs": runs, "press": press}] if press else []
    if when or day or time:
        when = when or "not_before"
        try:
            moment = measures.day(day)
            moment += f"T{measures.clock(time)}" if time else ""
            found.append({"runs": runs, when: moment})
        except ValueError as error:
            problems["move-day"] = str(error)
    if not found and not problems:
        problems["move-press"] = "choose another press, or say when"
    return found


def _shown(
    request: Request,
    shown: Published,
    run: Run,
    typed: dict[str, str],
    problems: dict[str, str],
    status: int = 200,
    study: str | None = None,
) -> Response:
    campaign, plan = shown.campaign, shown.plan
    runs = WishedRuns(tool=run.tool, colours=colours_of(run))
    can, cannot = presses_for(campaign, plan, runs)
    may = "plan" in now_acting().scopes
    told = standing(request, shown.row.id, "elsewhere", study, shown.revision, _question(run)) if may else None
    found = [Elsewhere.model_validate(one) for one in said(told, "press")]
    worth = prices(plan, found)
    return page(
        "run.html",
        status,
        here="runs",
        **of_plan(shown),
        run=run,
        clamp_kn=campaign.tools[run.tool].clamp_kn,
        cautions=list(cautions_of(run, plan, campaign)),
        there=wording.on_the_clock_there(run, campaign),
        colours=swatches(campaign.colours),
        alike=[one for one in named(plan.runs, runs) if one.id != run.id],
        beside=_neighbours(shown, run),
        needed=first_needed(shown, run),
        chains=[one for one in (plan.why.chains if plan.why else []) if any(link.of == run.id for link in one.links)],
        wishes=[wish for wish in campaign.wishes if wish.runs is not None and run in named(plan.runs, wish.runs)],
        wish_words=words,
        cannot=cannot,
        can=can,
        study=told,
        waits=told is not None and told["status"] in OPEN,
        found=sorted(
            (one for one in found if one.press is not None),
            key=lambda one: (one.cost is None, worth.get(one.press or "", 0.0)),
        ),
        worth=worth,
        when=WHEN,
        presses=[("", "stays where it is"), *((name, f"on {name}") for name in can)],
        typed=typed,
        problems=problems,
    )


def _neighbours(shown: Published, run: Run) -> Neighbours:
    here = sorted((one for one in shown.plan.runs if one.press == run.press), key=begins)
    place = here.index(run)
    return Neighbours(here[place - 1] if place else None, here[place + 1] if place + 1 < len(here) else None)


def first_needed(shown: Published, run: Run) -> str:
    """Which job at assembly is the first to begin that takes a part of this kind once the run has begun; "" if none."""
    made = {(part.part, tuple(part.colours)) for part in run.parts}
    for job in sorted(shown.plan.assembly, key=lambda job: job.start):
        takes = shown.campaign.products[job.product].colourways[job.colourway]
        if job.start >= run.start and any((part, tuple(colours)) in made for part, colours in takes.items()):
            return f"{job.product} {job.colourway}, {wording.moment(job.start)}"
    return ""
