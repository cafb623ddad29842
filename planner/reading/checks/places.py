"""Other places: what stands where, and what is not planned between them."""

from collections import defaultdict
from collections.abc import Iterator

from planner.campaign.benches import Bench
from planner.campaign.document import Campaign
from planner.campaign.dryer_rate import dryers_to_plan
from planner.campaign.pointers import pointer
from planner.campaign.whereabouts import places_of, taken_at, taken_piece_at
from planner.errors import Problem


def check(campaign: Campaign) -> list[Problem]:
    """Presses and benches at unknown places; tools, parts, pieces and dried resins that would be at two at once."""
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
        *_tools(campaign),
        *_parts(campaign),
        *_taken(campaign),
        *_pieces(campaign),
        *_dried(campaign),
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


def _tools(campaign: Campaign) -> Iterator[Problem]:
    based: dict[str, tuple[str, str]] = {}
    for name, tool in campaign.tools.items():
        at = places_of(campaign, tool.presses)
        if len(at) > 1:
            yield Problem(
                pointer("tools", name, "presses"),
                f"tool `{name}` may run {_said(at)}; moving a tool between places is not planned",
                "name presses of one place only; a copy of the tool at the other is a tool of its own",
            )
            continue
        here = at[0] if at else ""
        for press, machine in campaign.presses.items():
            if machine.tool == name and (machine.place or "") != here:
                yield Problem(
                    pointer("presses", press, "tool"),
                    f"tool `{name}` is in press `{press}` {_said([machine.place or ''])} and runs {_said(at)}",
                    "take it out there: say where it is once it has been moved",
                )
        if tool.base is not None:
            other = based.setdefault(tool.base, (name, here))
            if other[1] != here:
                yield Problem(
                    pointer("tools", name, "base"),
                    f"base `{tool.base}` would be {_said([other[1]])} with tool `{other[0]}` and {_said([here])} with "
                    f"`{name}`",
                    "name presses of one place for all tools of a base",
                )


def _parts(campaign: Campaign) -> Iterator[Problem]:
    for name, part in campaign.parts.items():
        presses = [p for tool in campaign.tools.values() if name in tool.cavities for p in tool.presses]
        at = places_of(campaign, presses)
        if len(at) > 1:
            yield Problem(
                pointer("parts", name),
                f"part `{name}` would be moulded {_said(at)}; which of them makes how many is not planned",
                "leave one of its tools out, or share the orders between two parts by hand",
            )
        if not [one for one in at if one]:
            continue
        if part.finishing and part.finishing[0].lot_parts is not None:
            yield Problem(
                pointer("parts", name, "finishing", 0, "lot_parts"),
                f"part `{name}` comes in the lots in which it is brought {_said(at, 'from')}, and stays together",
                "say `lot_parts` of the place alone",
            )


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
    at: dict[str, set[str]] = defaultdict(set)
    for tool in campaign.tools.values():
        for part in tool.cavities:
            for barrel in campaign.parts[part].barrels if part in campaign.parts else []:
                at[barrel.resin] |= set(places_of(campaign, tool.presses))
    resins = [name for name in at if name in campaign.resins and campaign.resins[name].drying_hours > 0]
    looked_after = set(dryers_to_plan(campaign, resins))
    for resin in sorted(resins):
        elsewhere = sorted(at[resin] - {""})
        if not elsewhere:
            continue
        if len(at[resin]) > 1:
            yield Problem(
                pointer("resins", resin),
                f"resin `{resin}` is dried, and moulded {_said(sorted(at[resin]))}; a dryer stands at one place",
                "list it twice, once for each place",
            )
        elif (campaign.resins[resin].dryer or resin) in looked_after:
            yield Problem(
                pointer("resins", resin, "dryer_kg" if campaign.resins[resin].dryer_kg is not None else "dryer"),
                f"resin `{resin}` is moulded {_said(elsewhere)}; dryers that are looked after stand on our own floor",
                "leave `dryer_kg` out, and give it no dryer that another resin uses",
            )


def _said(at: list[str], at_or_from: str = "at") -> str:
    return " and ".join(f"{at_or_from} `{one}`" if one else "on our own floor" for one in at)
