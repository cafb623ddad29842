"""What is done beside the presses, what leaves and what is bought, as rows of texts."""

from datetime import datetime
from typing import Any

from api.languages import gettext, wording
from api.languages.run_words import named_runs
from api.languages.sentences import said
from api.paper.content import PackLine, Paper, PickUpSheet
from api.paper.said import dryer_filled, dryer_hours, dryer_timer, from_to, until
from planner.plan.document import DryerLoad
from planner.plan.finished import FinishedPart
from planner.plan.run_names import RunNames


def work_rows(paper: Paper, called: RunNames) -> dict[str, Any]:
    """What people do between the presses and the door, by the name of its sheet. called: runs as people read them."""
    return {
        "drying": [
            _load(load, starts, paper.drying_hours, called)
            for load, starts in zip(paper.drying, paper.drying_starts, strict=True)
        ],
        "finishing": [
            [
                wording.work_name(job.id),
                job.bench,
                from_to(job.start, job.end),
                said(job.what),
                "; ".join([*(_finished(part) for part in job.parts), *map(wording.put_together, job.puts)]),
                wording.work_name(job.batch),
            ]
            for job in paper.finishing
        ],
        "lots": [
            [
                f"{wording.number(visit.parts)} {lot.part} {'/'.join(lot.colours)}",
                visit.firm,
                ", ".join(map(said, visit.what)),
                wording.moment(visit.leaves),
                wording.moment(visit.back),
                ", ".join(f"{wording.number(n)} {colour}" for colour, n in lot.in_colours.items()),
            ]
            for lot in paper.lots
            for visit in lot.visits
        ]
        + [
            [
                gettext("%(what)s for %(whom)s") % {"what": lot.of, "whom": lot.to} if lot.of != lot.to else lot.of,
                visit.firm,
                ", ".join(map(said, visit.what)),
                wording.moment(visit.leaves),
                wording.moment(visit.back),
                "",
            ]
            for lot in paper.carried
            for visit in lot.visits
        ],
        "assembly": [
            [
                wording.work_name(job.id),
                wording.moment(job.start),
                until(job.start, job.end),
                wording.number(job.units),
                f"{job.product} {job.colourway}",
                wording.work_name(job.batch),
            ]
            for job in paper.assembly
        ],
        "packing": [
            [
                wording.work_name(line.id),
                f"{line.tier}, {wording.region(line.region)}{wording.part_of(line)}",
                from_to(line.start, line.end),
                wording.number(line.parcels),
                _contents(line.contents, line.pieces, line.carton),
                _carton(line),
                wording.work_name(line.dispatch),
            ]
            for line in paper.packing
        ],
    }


def sent_rows(paper: Paper) -> dict[str, Any]:
    """What leaves, and what its customs ask for."""
    return {
        "pick_ups": [
            {
                "title": _pick_up(sheet),
                "id": wording.work_name(sheet.id),
                "rows": [
                    [
                        wording.region(c.region),
                        f"{c.tier}{wording.part_of(c)}",
                        wording.number(c.parcels),
                        wording.work_numbers(c.batches),
                    ]
                    for c in sheet.consignments
                ],
            }
            for sheet in paper.pick_ups
        ],
        "customs": [
            [
                f"{c.country} {wording.country(c.country, c.name)}",
                wording.number(c.parcels),
                "–" if c.gross_kg is None else wording.kilograms(c.gross_kg),
                wording.exact_money(c.value, paper.currency),
                ", ".join(f"{form}: {wording.number(n)}" for form, n in c.forms.items())
                if c.border
                else gettext("no border"),
                "; ".join(map(said, c.missing)),
            ]
            for c in paper.customs
        ],
    }


def bought_rows(paper: Paper) -> dict[str, Any]:
    """What to order by when."""
    return {
        "materials": [
            [
                wording.day(m.order_by),
                f"{said(m.kind)} {m.id}",
                wording.kilograms(m.bought_kg),
                wording.kilograms(m.used_kg),
                wording.kilograms(m.stock_kg),
                wording.kilograms(m.arriving_kg),
                wording.moment(m.first_use),
            ]
            for m in paper.buying.materials
        ],
        "pieces": [
            [
                wording.day(p.order_by),
                p.id,
                wording.number(p.bought),
                wording.number(p.used),
                wording.number(p.stock),
                wording.number(p.arriving),
                wording.moment(p.first_use),
            ]
            for p in paper.buying.pieces
        ],
    }


def _finished(part: FinishedPart) -> str:
    """`200 pot cream`, with the colour it gets and how many go in where some will be spoilt."""
    spoilt = gettext("some %(n)s go in") % {"n": wording.number(part.goes_in)} if part.goes_in > part.good else ""
    colour = " " + gettext("in %(colour)s") % {"colour": part.colour} if part.colour else ""
    told = f"{wording.number(part.good)} {part.part} {'/'.join(part.colours)}{colour}"
    return f"{told} ({spoilt})" if spoilt else told


def _load(load: DryerLoad, starts: datetime, hours: dict[str, float], called: RunNames) -> list[str]:
    return [
        load.dryer,
        load.resin,
        dryer_filled(load),
        _put_in(load) + dryer_timer(load, starts),
        wording.moment(load.dry_at),
        dryer_hours(load, hours),
        named_runs(called, load.runs),
    ]


def _put_in(load: DryerLoad) -> str:
    if load.cleaned_from is None:
        return wording.moment(load.load_at)
    both = {"clean": wording.moment(load.cleaned_from), "fill": wording.moment(load.load_at)}
    return gettext("clean %(clean)s, fill %(fill)s") % both


def _pick_up(sheet: PickUpSheet) -> str:
    told = {"when": wording.moment(sheet.at), "parcels": wording.counted(sheet.parcels, "parcel")}
    if not sheet.carrier:
        return f"{told['when']}: {told['parcels']}"
    return gettext("%(when)s: %(parcels)s with %(carrier)s") % (told | {"carrier": sheet.carrier})


def _carton(line: PackLine) -> str:
    """`carton-3, 310 x 210 x 120 mm, 0.56 kg gross, charged as 1.00 kg; 2 pallets`, as far as it is known."""
    if line.carton is None or line.outside_mm is None or line.gross_kg is None or line.charged_kg is None:
        return "–"
    sides = " × ".join(str(side) for side in line.outside_mm)
    told = f"{line.carton}, {sides} mm, " + gettext("%(kg)s gross") % {"kg": wording.kilograms(line.gross_kg)}
    if line.charged_kg:
        told += ", " + gettext("charged as %(kg)s") % {"kg": wording.kilograms(line.charged_kg)}
    return told + (f"; {wording.counted(line.pallets, 'pallet')}" if line.pallets else "")


def _contents(contents: dict[str, dict[str, int]], pieces: dict[str, int], carton: str | None) -> str:
    """`2 planter sage, 1 planter ink; 1 leaflet`: what is assembled, then the bought-in pieces beside the carton."""
    units = [f"{n} {product} {way}" for product, ways in contents.items() for way, n in ways.items()]
    beside = [f"{n} {piece}" for piece, n in pieces.items() if piece != carton or n > 1]
    return "; ".join([", ".join(units), ", ".join(beside)]).removesuffix("; ")
