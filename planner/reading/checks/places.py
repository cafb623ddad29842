"""Other places: what stands where, and what is not planned between them."""

from collections.abc import Iterator

from planner.campaign.benches import Bench
from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.campaign.whereabouts import places_of, taken_at, taken_piece_at
from planner.demand.standing import (
    MOST_WAYS,
    dried_elsewhere,
    first_in_the_way,
    groups,
    number_of_ways,
    ways,
)
from planner.errors import Problem


def check(campaign: Campaign) -> list[Problem]:
    """Presses and benches at unknown places; parts, pieces and dried resins that would be at two at once."""
    unknown = [
        Problem(
            pointer("presses", name, "place"),
            f"press `{name}` stands at `{press.place}`, which is none of `places`",
            _known(campaign, "press"),
        )
        for name, press in campaign.presses.items()
        if press.place is not None and press.place not in campaign.places
    ]
    unknown += [
        Problem(
            at + pointer("place"),
            f"{what} stands at `{bench.place}`, which is none of `places`",
            _known(campaign, "bench"),
        )
        for at, what, bench in _benches(campaign)
        if bench.place is not None and bench.place not in campaign.places
    ]
    if unknown or not campaign.places:
        return unknown
    return [
        *_names(campaign),
        *_presses(campaign),
        *_standing(campaign),
        *_in_presses(campaign),
        *_parts(campaign),
        *_at_two_places(campaign),
    ]


def _known(campaign: Campaign, what: str) -> str:
    """What helps where a place is not known."""
    if campaign.places:
        return f"use one of {', '.join(f'`{one}`' for one in campaign.places)}"
    return f"add it to `places`, or leave it out where the {what} is our own"


def _benches(campaign: Campaign) -> list[tuple[str, str, Bench]]:
    """Where each bench stands in the document, and what it is called."""
    found: list[tuple[str, str, Bench]] = [
        (pointer("finishing_benches", name), f"bench `{name}`", bench)
        for name, bench in campaign.finishing_benches.items()
    ]
    found.append((pointer("assembly"), "the assembly bench", campaign.assembly))
    return [*found, (pointer("packing"), "the packing bench", campaign.packing)]


def _names(campaign: Campaign) -> Iterator[Problem]:
    for name in campaign.places:
        if name in campaign.finishing_firms or name in campaign.finishing_benches:
            yield Problem(
                pointer("places", name),
                f"`{name}` is a place with presses, and a bench or firm that works on parts too",
                "give one of them another name",
            )


def _presses(campaign: Campaign) -> Iterator[Problem]:
    for name, press in campaign.presses.items():
        if press.place is not None and press.lights_out is not None:
            yield Problem(
                pointer("presses", name, "lights_out"),
                f"press `{name}` stands at `{press.place}`, whose people `floor.attended` says nothing of",
                "give it the hours in which they mould, and leave `lights_out` out",
            )


def _standing(campaign: Campaign) -> Iterator[Problem]:
    """Tools that cannot all work at one place, and so many that may that not every way is looked at."""
    found = groups(campaign)
    for group in found:
        if not group.together and not group.apart:
            first = group.tools[0]
            others = [f"`{one}`" for one in group.tools[1:]]
            beside = f", with {', '.join(others)} by the same parts or base," if others else ""
            yield Problem(
                pointer("tools", first, "presses"),
                f"tool `{first}`{beside} is named for presses {_said(list(group.named))}; they work at one place, or "
                "as copies at two of which one takes their parts, and so they cannot make all their parts with what is "
                "in presses now",
                "name presses of one place that fit for all of them",
            )
    for n, one in enumerate(campaign.planning.made_at):
        at = places_of(campaign, campaign.tools[one.tool].presses) if one.tool in campaign.tools else []
        if at and (one.place or "") not in at:
            yield Problem(
                pointer("planning", "made_at", n, "place"),
                f"tool `{one.tool}` is to work {_said([one.place or ''])}, and is named for presses {_said(at)}",
                "name a press there among its presses, or another place",
            )
    if number_of_ways(found) > MOST_WAYS:
        yield Problem(
            pointer("tools", found[-1].tools[0], "presses"),
            f"tools may stand at places in {number_of_ways(found)} ways; up to {MOST_WAYS} are looked at",
            "name presses of one place for some of these tools",
        )


def _in_presses(campaign: Campaign) -> Iterator[Problem]:
    for press, machine in campaign.presses.items():
        if machine.tool is None or machine.tool not in campaign.tools:
            continue
        at = places_of(campaign, campaign.tools[machine.tool].presses)
        if (machine.place or "") not in (at or [""]):
            yield Problem(
                pointer("presses", press, "tool"),
                f"tool `{machine.tool}` is in press `{press}` {_said([machine.place or ''])} and runs {_said(at)}",
                "take it out there: say where it is once it has been moved",
            )


def _parts(campaign: Campaign) -> Iterator[Problem]:
    several = {
        tool
        for group in groups(campaign)
        if not group.apart or any(len(places_of(campaign, campaign.tools[one].presses)) > 1 for one in group.tools)
        for tool in group.tools
    }
    for name, part in campaign.parts.items():
        tools = [one for one, tool in campaign.tools.items() if name in tool.cavities]
        at = places_of(campaign, [press for one in tools for press in campaign.tools[one].presses])
        if not [one for one in at if one]:
            continue
        if part.finishing and part.finishing[0].lot_parts is not None:
            yield Problem(
                pointer("parts", name, "finishing", 0, "lot_parts"),
                f"part `{name}` comes in the lots in which it is brought {_said(at, 'from')}, and stays together",
                "say `lot_parts` of the place alone",
            )
        for n, stock in enumerate(part.stock):
            if not stock.finished and several & set(tools):
                yield Problem(
                    pointer("parts", name, "stock", n, "finished"),
                    f"part `{name}` may be moulded {_said(at)}, and nothing says at which of them this stock lies",
                    "name presses of the place where it lies for its tools, or leave `finished` out once it is here",
                )


def _at_two_places(campaign: Campaign) -> Iterator[Problem]:
    """What would be at two places at once; where tools may stand at several, however they stand."""
    if ways(campaign):
        return
    one = first_in_the_way(campaign)
    yield from _taken(one)
    yield from _pieces(one)
    yield from _dried(one)


def _taken(campaign: Campaign) -> Iterator[Problem]:
    """Parts that would have to be shared between places."""
    for name in campaign.parts:
        at = taken_at(campaign, name)
        if len(at) > 1:
            yield Problem(
                pointer("parts", name),
                f"part `{name}` is taken {_said(at)}; who gets how many of each lot is not planned",
                "list it twice, once for each place that takes it, with tools of their own or orders shared by hand",
            )


def _pieces(campaign: Campaign) -> Iterator[Problem]:
    """Bought-in pieces that would have to be delivered to two places."""
    for name in campaign.pieces:
        at = taken_piece_at(campaign, name)
        if len(at) > 1:
            yield Problem(
                pointer("pieces", name),
                f"piece `{name}` is taken {_said(at)}, and stock of it lies at one place",
                "list it twice, once for each place",
            )


def _dried(campaign: Campaign) -> Iterator[Problem]:
    for resin, at in dried_elsewhere(campaign):
        if len(at) > 1:
            yield Problem(
                pointer("resins", resin),
                f"resin `{resin}` is dried, and moulded {_said(at)}; a dryer stands at one place",
                "list it twice, once for each place",
            )
        else:
            yield Problem(
                pointer("resins", resin, "dryer_kg" if campaign.resins[resin].dryer_kg is not None else "dryer"),
                f"resin `{resin}` is moulded {_said(at)}; dryers that are looked after stand on our own floor",
                "leave `dryer_kg` out, and give it no dryer that another resin uses",
            )


def _said(at: list[str], at_or_from: str = "at") -> str:
    return " and ".join(f"{at_or_from} `{one}`" if one else "on our own floor" for one in at)
