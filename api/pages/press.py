"""The page at the press: what runs now, and big buttons for what happened. Posts to the floor's log."""

from collections import Counter
from datetime import datetime, timedelta
from typing import Annotated, Any

from fastapi import APIRouter, Header, Query, Request, Response
from fastapi.responses import JSONResponse, RedirectResponse

from api.http.forms import SentForm
from api.languages import gettext, wording
from api.pages.api_client import Answered, ask
from api.pages.auth import PageLogger, PageMaker, PageReader, PageRoute
from api.pages.measures import clock
from api.pages.measures import day as read_day
from api.pages.scrap_reasons import by_reason, stopped_by_reason, usual, usual_stops
from api.pages.templating import of_plan, page
from api.pages.typed import amount, whole
from api.pages.wall_clock import now_at, stands_at
from api.paper.writing import cautions_of
from api.pictures.colours import swatches
from api.plans.parameters import PlanId
from api.service import TheService
from api.service.refusals import NotFound
from api.services.published import Published, find_published
from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.document import Run

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
LONGEST = 200
"""Characters that one field of the form may hold; what is beyond is cut."""
Queued = Annotated[str | None, Header(alias="x-queued", pattern=r"^[0-9a-f]{32}$")]
RunName = Annotated[str, Query(max_length=60)]


@router.get("/{plan_id}/press")
def press_page(
    plan_id: PlanId, request: Request, service: TheService, caller: PageReader, run: RunName = "", said: RunName = ""
) -> Response:
    """The run asked for, or the one that runs now; before it the choice of press and run."""
    shown = find_published(service, caller.workshop_id, plan_id)
    return _shown(request, shown, run, {}, {}, said)


@router.post("/{plan_id}/press")
def happened(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageLogger,
    form: SentForm,
    queued: Queued = None,
) -> Response:
    """One entry of the floor's log. queued: by the page's script, which may send it again: it counts once."""
    typed = {name: str(value)[:LONGEST].strip() for name, value in form.items()}
    run, what, done = typed.get("run", ""), typed.get("what", "shots"), typed.get("done", "")
    shots, hours, kg, barrel = (typed.get(name, "") for name in ("shots", "hours", "kg", "barrel"))
    shown = find_published(service, caller.workshop_id, plan_id)
    if not shown.plan.runs:
        raise NotFound("There is no run in this plan.")
    one = _run(shown, run)
    entry: dict[str, Any] = {"what": what, "press": one.press, "at": now_at(shown).isoformat(timespec="minutes")}
    problems: dict[str, str] = {}
    entry["at"] = _when(typed.get("at", ""), now_at(shown), problems).isoformat(timespec="minutes")
    if reason := typed.get("why", ""):
        entry["note"] = reason
    if what == "shots":
        entry |= {"tool": one.tool, "colours": [melt.rpartition("/")[2] for melt in one.melts], "done": done == "yes"}
        entry["shots"] = made = whole(shots, "shots", problems)
        tool, good, scrapped = shown.campaign.tools[one.tool], {}, None
        for part in one.parts:
            scrap = typed.get(f"scrap-{part.part}", "")
            if scrap and made is not None:
                bad = whole(scrap, f"scrap-{part.part}", problems)
                cavities = tool.cavities[part.part] - tool.blocked_cavities.get(part.part, 0)
                if bad is not None and bad > made * cavities:
                    problems[f"scrap-{part.part}"] = gettext("%(shots)s shots make %(parts)s %(part)s, not %(bad)s") % {
                        "shots": made,
                        "parts": made * cavities,
                        "part": part.part,
                        "bad": bad,
                    }
                elif bad is not None:
                    good[part.part] = made * cavities - bad
                    scrapped = (scrapped or 0) + bad
        entry["good"] = good
        entry["scrap_by"] = by_reason(reason, scrapped, problems)
    elif what == "downtime":
        entry["hours"] = amount(hours, "hours", problems, "hours")
    elif what == "purge":
        k = int(barrel) if barrel in {"1", "2"} else 1
        purges = one.changeover.purges if one.changeover else []
        before = next((p.from_ for p in purges if p.barrel == k and p.from_ != UNKNOWN), None)
        entry |= {"barrel": k, "from": before, "to": one.melts[k - 1], "kg": amount(kg, "kg", problems, "kg")}
    if not problems:
        try:
            ask(request, "POST", f"/v1/plans/{plan_id}/actuals", {"entries": [entry]}, once=queued or "")
            led = f"/plans/{plan_id}/press?run={one.id}&said={what}"
            return JSONResponse({"led": led}) if queued else RedirectResponse(led, 303)
        except Answered as refused:
            field = {"shots": "shots", "downtime": "hours", "purge": "kg"}.get(what, "shots")
            problems[field] = refused.told
    if queued:
        return JSONResponse({"told": "; ".join(problems.values())}, 422)
    return _shown(request, shown, one.id, typed, problems, "", 422)


@router.post("/{plan_id}/plan-again")
def plan_again(plan_id: PlanId, request: Request, service: TheService, caller: PageMaker) -> Response:
    """A new plan from where the floor stands now."""
    shown = find_published(service, caller.workshop_id, plan_id)
    as_of = stands_at(request, shown)
    answer = ask(request, "POST", f"/v1/plans/{plan_id}/plan-again", {"as_of": as_of})
    return RedirectResponse(f"/plans/{answer.json()['plan']['id']}", 303)


def _shown(
    request: Request,
    shown: Published,
    run: str,
    typed: dict[str, str],
    problems: dict[str, str],
    said: str,
    status: int = 200,
) -> Response:
    if not shown.plan.runs:
        return page("press_idle.html", here="press", leaf="press", **of_plan(shown))
    one = _run(shown, run)
    log = ask(request, "GET", f"/v1/plans/{shown.row.id}/actuals").json()["entries"]
    mine = [entry["entry"] for entry in log if entry["entry"].get("press") == one.press]
    tool, colours = one.tool, [melt.rpartition("/")[2] for melt in one.melts]
    counted = [e for e in mine if e["what"] == "shots" and e["tool"] == tool and e["colours"] == colours]
    queue = [r for r in shown.plan.runs if r.press == one.press]
    return page(
        "press.html",
        status,
        here="press",
        leaf="press",
        **of_plan(shown),
        there=wording.on_the_clock_there(one, shown.campaign),
        presses=list(shown.campaign.presses),
        run=one,
        clamp_kn=shown.campaign.tools[one.tool].clamp_kn,
        cautions=len(list(cautions_of(one, shown.plan, shown.campaign))),
        queue=queue,
        made=sum(e.get("shots", 0) for e in counted),
        scrapped=sum((Counter(e.get("scrap_by", {})) for e in counted), Counter()),
        stopped=stopped_by_reason(mine),
        usual=usual(),
        usual_stops=usual_stops(),
        log=list(reversed(mine))[:8],
        logged=len(log),
        typed=typed,
        problems=problems,
        said=said,
        colours=swatches(shown.campaign.colours),
        firsts={r.press: r.id for r in reversed(shown.plan.runs)},
    )


def _run(shown: Published, name: str) -> Run:
    """The run of that name; else the one that runs now on any press, else the plan's first."""
    runs = shown.plan.runs
    for run in runs:
        if run.id == name:
            return run
    now = now_at(shown)
    running = [r for r in runs if (r.changeover or r).start.replace(tzinfo=None) <= now < r.end.replace(tzinfo=None)]
    return (running or sorted(runs, key=lambda r: (r.changeover or r).start))[0]


def _when(text: str, now: datetime, problems: dict[str, str]) -> datetime:
    """When it happened: blank is now; `14:30` is the last time it was half past two; a day may stand before it."""
    if not text:
        return now
    day, _, time = text.rpartition(" ")
    try:
        hour, minute = (int(piece) for piece in clock(time).split(":"))
        if day:
            return datetime.fromisoformat(read_day(day)).replace(hour=hour, minute=minute)
        moment = now.replace(hour=hour, minute=minute)
    except ValueError:
        problems["at"] = gettext("%(said)s is no time; write 14:30, or 2027-02-19 14:30") % {"said": repr(text[:30])}
        return now
    return moment if moment <= now else moment - timedelta(days=1)
