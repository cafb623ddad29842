"""What the what-if form says, turned into a changed campaign: any number of changes at once.

Fields: `tool.NAME.days`, `press.NAME.saturday`, `.longer`, `.another`, `.pin`, `people.assembly`, `.packing`,
`.setters`, `piece.NAME.days`, `.share`, `resin.NAME.days`, `colour.NAME.days`, `drop.PRODUCT.COLOURWAY`, `aim`.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from api.pages import measures, typed
from planner.campaign import Campaign
from planner.campaign.hours import DAYS, days_of, spans
from planner.colourways.drop_colourway import without
from planner.errors import CampaignProblems
from planner.plan import RunPlan
from planner.plan.order_of_work import order_of
from planner.reading import read
from planner.slips.slip import SECTIONS, Kind, Slip, slipped, things

UNITS = {"days": "days", "share": "percent", "longer": "hours"}
"""End of a field's name -> what it is counted in; others are mere numbers."""
AIMS = {
    "cost": "least cost",
    "soonest": "soonest finished",
    "waste": "least purge waste",
    "cost if all goes well": "least cost if all goes well",
}


@dataclass
class ChangedCampaign:
    """All that was filled in. patch: JSON Patch that replaces what changed. said: each change in words."""

    patch: list[dict[str, Any]] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    problems: dict[str, str] = field(default_factory=dict)


def change(campaign: Campaign, plan: RunPlan, typed: Mapping[str, str]) -> ChangedCampaign:
    """The change the form asks for. Problems by field; where there are any, the patch is not to be used."""
    form = _Form(campaign, plan, {name: text.strip() for name, text in typed.items() if text.strip()})
    for step in (form.tools, form.pieces, form.materials, form.presses, form.people, form.colourways, form.aim):
        step()
    made = ChangedCampaign(said=form.said, problems=form.problems)
    if not form.said and not form.problems:
        made.problems[""] = "Nothing is changed yet: fill in at least one field."
    before, after = _document(campaign), form.document()
    made.patch = [
        {"op": "add", "path": f"/{name}", "value": after[name]} for name in after if after[name] != before.get(name)
    ]
    return made


def _document(campaign: Campaign) -> dict[str, Any]:
    return campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)


class _Form:
    """Applies one kind of change after the other to the campaign."""

    def __init__(self, campaign: Campaign, plan: RunPlan, typed: Mapping[str, str]) -> None:
        self.campaign, self.plan, self.typed = campaign, plan, typed
        self.said: list[str] = []
        self.problems: dict[str, str] = {}
        self._edits: list[Callable[[dict[str, Any]], None]] = []

    def document(self) -> dict[str, Any]:
        """The changed document."""
        document: dict[str, Any] = json.loads(json.dumps(_document(self.campaign)))
        for edit in self._edits:
            edit(document)
        return document

    def tools(self) -> None:
        """Tools that come later."""
        self._slips("tool", list(self.campaign.tools))

    def pieces(self) -> None:
        """Bought-in pieces that come later, or of which less comes."""
        self._slips("piece", [name for name, piece in self.campaign.pieces.items() if _can_slip(piece)])
        for name, piece in self.campaign.pieces.items():
            share = self._number(f"piece.{name}.share", 0, 100, "a share from 0 to 100 per cent")
            if share is None:
                continue
            if not piece.arrivals:
                self.problems[f"piece.{name}.share"] = "no delivery of it is agreed"
                continue
            for arrival in piece.arrivals:
                if arrival.amount * share / 100 < 1 and share:
                    self.problems[f"piece.{name}.share"] = "less than one piece would come"
            self.said.append(f"{share:g} % of the {name} deliveries")
            self._edits.append(_cut(name, share / 100))

    def materials(self) -> None:
        """Resins and masterbatch that come later."""
        for wanted in ("resin", "colour"):
            self._slips(wanted, [name for kind, name in things(self.campaign) if kind == wanted])

    def presses(self) -> None:
        """More hours, another press like it, runs that stay first."""
        for name, press in self.campaign.presses.items():
            if hours := self.typed.get(f"press.{name}.saturday"):
                try:
                    hours = measures.spans(hours)
                    spans(hours)
                except ValueError as error:
                    self.problems[f"press.{name}.saturday"] = str(error)
                    continue
                self.said.append(f"{name} on Saturdays {hours}")
                self._edits.append(_week(name, press.hours, {"sat": hours}))
            longer = self._number(f"press.{name}.longer", 0.25, 12, "hours from 0.25 to 12")
            if longer is not None:
                week = _longer(press.hours, longer)
                if week is None:
                    self.problems[f"press.{name}.longer"] = "a day has no hour left for that"
                else:
                    self.said.append(f"{name} {longer:g} h longer each day")
                    self._edits.append(_week(name, press.hours, week))
            another = self._number(f"press.{name}.another", 1, 5, "a whole number from 1 to 5", whole=True)
            if another is not None:
                self.said.append(f"{int(another)} more like {name}")
                self._edits.append(_more_presses(name, int(another)))
            pin = self._number(f"press.{name}.pin", 1, 200, "a whole number of runs", whole=True)
            if pin is not None:
                own = order_of(self.plan).presses.get(name, [])
                if pin > len(own):
                    self.problems[f"press.{name}.pin"] = f"there are {len(own)} runs on it"
                else:
                    self.said.append(f"the first {int(pin)} runs on {name} stay")
                    first = [{"tool": run.tool, "colours": list(run.colours)} for run in own[: int(pin)]]
                    self._edits.append(_pinned(name, first))

    def people(self) -> None:
        """More hands at the benches, more setters."""
        for bench, who in (("assembly", "at assembly"), ("packing", "at packing")):
            more = self._number(f"people.{bench}", 1, 50, "a whole number of people", whole=True)
            if more is not None:
                self.said.append(f"{int(more)} more {who}")
                own = getattr(self.campaign, bench)
                self._edits.append(_more_people(bench, own.hours, own.people, int(more)))
        more = self._number("people.setters", 1, 20, "a whole number of setters", whole=True)
        if more is not None:
            self.said.append(f"{int(more)} more setters" if more > 1 else "one setter more")
            setters = self.campaign.floor.setters + int(more)
            self._edits.append(lambda document: document.setdefault("floor", {}).update(setters=setters))

    def colourways(self) -> None:
        """Colourways that are given up: their orders move to others, or go."""
        for product, its in self.campaign.products.items():
            for colourway in its.colourways:
                name = f"drop.{product}.{colourway}"
                how = self.typed.get(name)
                if how not in {"move", "drop"}:
                    continue
                try:
                    # A colourway is taken out of a campaign that holds together, other changes included.
                    changed = without(read(self.document()), product, colourway, "move" if how == "move" else "drop")
                except CampaignProblems as error:
                    self.problems[name] = error.problems[0].message
                    continue
                after = _document(changed.campaign)
                self._edits.append(_replaced({key: after[key] for key in ("products", "orders")}))
                self.said.append(f"without {colourway}")

    def aim(self) -> None:
        """Towards what is planned."""
        aim = self.typed.get("aim", "")
        if aim in AIMS and aim != self.campaign.planning.aim:
            self.said.append(f"aim: {AIMS[aim]}")
            self._edits.append(lambda document: document.setdefault("planning", {}).update(aim=aim))

    def _slips(self, kind: Kind, names: list[str]) -> None:
        for name in names:
            late = self._number(f"{kind}.{name}.days", 1, 365, "a number of days from 1 to 365", whole=True)
            if late is None:
                continue
            slipping = slipped(self.campaign, Slip(kind, name, int(late)))
            place = SECTIONS[kind]
            self._edits.append(_slipped(place, name, _document(slipping)[place][name]))
            self.said.append(f"{name} {int(late)} {'day' if late == 1 else 'days'} later")

    def _number(self, name: str, least: float, most: float, wanted: str, whole: bool = False) -> float | None:
        """The field's number; None where nothing is typed, or it is none: then a problem is noted."""
        text = self.typed.get(name, "")
        if not text:
            return None
        value = typed.amount(text, name, self.problems, UNITS.get(name.rpartition(".")[2], ""))
        if value is None:
            return None
        if not least <= value <= most or (whole and not value.is_integer()):
            self.problems[name] = f"{text[:30]!r} is not {wanted}"
            return None
        return value


def _can_slip(piece: Any) -> bool:
    return bool(piece.arrivals or piece.lead_days is not None)


def _replaced(parts: Mapping[str, Any]) -> Callable[[dict[str, Any]], None]:
    return lambda document: document.update(parts)


def _slipped(place: str, name: str, late: dict[str, Any]) -> Callable[[dict[str, Any]], None]:
    return lambda document: document[place].update({name: late})


def _cut(name: str, share: float) -> Callable[[dict[str, Any]], None]:
    def edit(document: dict[str, Any]) -> None:
        piece = document["pieces"][name]
        cut = [arrival | {"amount": int(arrival["amount"] * share)} for arrival in piece["arrivals"]]
        piece["arrivals"] = [arrival for arrival in cut if arrival["amount"]]

    return edit


def _week(press: str, usual: Mapping[str, str], changed: Mapping[str, str]) -> Callable[[dict[str, Any]], None]:
    """Other hours on some days; a range of days that holds one of them is taken apart."""

    def edit(document: dict[str, Any]) -> None:
        own = document["presses"][press].get("hours", usual)
        days = {DAYS[day]: text for key, text in own.items() for day in days_of(key)}
        days |= {DAYS[day]: text for key, text in changed.items() for day in days_of(key)}
        document["presses"][press]["hours"] = {day: days[day] for day in DAYS if day in days}

    return edit


def _longer(hours: Mapping[str, str], more: float) -> dict[str, str] | None:
    """The week with each day's last span so many hours longer; None where a day would go past midnight."""
    week = {}
    for key, text in hours.items():
        own = spans(text)
        if not own:
            continue
        ends = [(span.start, span.end) for span in own]
        ends[-1] = (own[-1].start, own[-1].end + round(more * 60))
        if ends[-1][1] > 1440:
            return None
        week[key] = ", ".join(f"{_clock(start)}-{_clock(end)}" for start, end in ends)
    return week or None


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _more_presses(name: str, count: int) -> Callable[[dict[str, Any]], None]:
    """Presses like this one, empty and clean, for the same tools."""

    def edit(document: dict[str, Any]) -> None:
        presses = document["presses"]
        own = {key: value for key, value in presses[name].items() if key not in {"tool", "begins_with"}}
        emptied = {"holds", "has_held"}
        own["barrels"] = [
            {k: v for k, v in barrel.items() if k not in emptied} | {"clean": True} for barrel in own["barrels"]
        ]
        number = 2
        for _ in range(count):
            while f"{name[:36]}-{number}" in presses:
                number += 1
            copy = f"{name[:36]}-{number}"
            presses[copy] = own
            for tool in document["tools"].values():
                if name in tool["presses"]:
                    tool["presses"] = [*tool["presses"], copy]

    return edit


def _pinned(name: str, first: list[dict[str, Any]]) -> Callable[[dict[str, Any]], None]:
    return lambda document: document["presses"][name].update(begins_with=first)


def _more_people(bench: str, hours: Mapping[str, str], people: int, more: int) -> Callable[[dict[str, Any]], None]:
    """Every span of the bench with so many people more."""
    week = {}
    for key, text in hours.items():
        week[key] = ", ".join(
            f"{_clock(span.start)}-{_clock((span.end - 1) % 1440 + 1)} x{(span.people or people) + more}"
            for span in spans(text)
        )
    return lambda document: document.setdefault(bench, {}).update(people=people + more, hours=week)
