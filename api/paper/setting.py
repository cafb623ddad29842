"""The content set in type: figures written as people read them, handed to the sheets, printed to PDF by typst."""

import io
from datetime import datetime
from pathlib import Path
from typing import Any

import segno

from api import wording
from api.paper.content import MeltDraw, PackLine, Paper, RunSheet, Settings
from api.pictures.colours import Swatch
from api.typesetting import Size, typeset
from planner.campaign.unknown_melts import UNKNOWN as UNKNOWN_MELT
from planner.plan.averages import BranchRun
from planner.plan.document import DryerLoad, Purge, Run
from planner.plan.finished import FinishedPart
from planner.plan.run_names import RunNames

SHEET = Path(__file__).parent / "sheets" / "paper.typ"


def print_pdf(paper: Paper, swatches: dict[str, Swatch], size: Size) -> bytes:
    """One PDF of all sheets."""
    return typeset(SHEET, written(paper, swatches), size)


def _average(paper: Paper) -> list[list[str]]:
    """What it costs where things are not sure."""
    if paper.mean is None:
        return []
    facts = [["costs on average", wording.exact_money(paper.mean, paper.currency)]]
    if paper.mean_bound is not None:
        bound = wording.exact_money(paper.mean_bound, paper.currency)
        facts.append(["on average no plan can cost less than", bound])
    if paper.chance_all is not None:
        facts.append(["chance that every tier ships on time", wording.per_cent(paper.chance_all)])
    if paper.when_late is not None:
        facts.append(["when a tool is late", wording.WHEN_LATE[paper.when_late]])
    return facts


def _either(paper: Paper) -> dict[str, Any] | None:
    """The sheet of a plan with branches."""
    told = paper.either_way
    if told is None:
        return None
    return {
        "title": f"Either way: {told.about}",
        "known": wording.moment(told.known),
        "now": [_begun(run) for run in told.now],
        "ways": [
            {
                "title": f"If {way.words} ({wording.per_cent(way.chance)})",
                "costs": wording.exact_money(way.total if way.mean is None else way.mean, paper.currency),
                "tiers": [
                    *([one.tier, wording.day(one.leaves), _late(one.days_late)] for one in way.tiers),
                    *(["masterbatch", recipe, ""] for recipe in way.recipes),
                ],
                "runs": [_begun(run) for run in way.runs],
            }
            for way in told.ways
        ],
    }


def _finished(part: FinishedPart) -> str:
    """`200 pot cream`, with the colour it gets and how many go in where some will be spoilt."""
    spoilt = f" (some {wording.number(part.goes_in)} go in)" if part.goes_in > part.good else ""
    colour = f" in {part.colour}" if part.colour else ""
    return f"{wording.number(part.good)} {part.part} {'/'.join(part.colours)}{colour}{spoilt}"


def _begun(run: BranchRun) -> list[str]:
    colours = " + ".join(melt.rpartition("/")[2] for melt in run.melts)
    return [run.press, wording.moment(run.begin), f"{run.tool}, {colours}", wording.number(run.shots)]


def _late(days: int) -> str:
    return f"{wording.counted(days, 'day')} late" if days else ""


def written(paper: Paper, swatches: dict[str, Swatch]) -> dict[str, Any]:
    """The paper's content as texts, sheet by sheet."""
    money, chances = paper.currency, {one.tier: one.chance for one in paper.sure}
    called = RunNames([sheet.run for sheet in paper.runs])
    return {
        "name": paper.name,
        "under": f"revision {paper.revision} · times in {paper.time_zone}",
        "facts": [
            ["starts", wording.day(paper.start)],
            ["costs" if paper.mean is None else "costs if all goes well", wording.exact_money(paper.total, money)],
            *_average(paper),
            ["no plan can cost less than", wording.exact_money(paper.lower_bound, money)],
            ["could still save up to", wording.per_cent(paper.gap)],
            ["purge", wording.kilograms(paper.purge_kg)],
        ],
        "either": _either(paper),
        "tiers": [
            [
                tier.tier,
                wording.number(tier.parcels),
                wording.day(tier.first_dispatch),
                wording.day(tier.last_dispatch),
                wording.day(tier.promised),
                wording.kept(tier.days_late, tier.promised is not None, chances.get(tier.tier)),
            ]
            for tier in paper.tiers
        ],
        "sure": [
            [
                one.tier,
                wording.day(one.p50),
                wording.day(one.p80),
                wording.day(one.p95),
                "–" if one.chance is None else wording.per_cent(one.chance),
            ]
            for one in paper.sure
        ],
        "floors": wording.number(paper.floors),
        "costs": [[line.what, wording.number(line.amount, 2)] for line in paper.costs],
        "cautions": [[c.about, _plain(c.text), c.source] for c in paper.cautions],
        "runs": [_run(sheet, swatches, paper.drying_hours, called) for sheet in paper.runs],
        "drying": [
            _load(load, starts, paper.drying_hours, called)
            for load, starts in zip(paper.drying, paper.drying_starts, strict=True)
        ],
        "finishing": [
            [
                job.id,
                job.bench,
                f"{wording.moment(job.start)} to {_until(job.start, job.end)}",
                job.what,
                "; ".join(_finished(part) for part in job.parts),
                job.batch,
            ]
            for job in paper.finishing
        ],
        "lots": [
            [
                f"{wording.number(visit.parts)} {lot.part} {'/'.join(lot.colours)}",
                visit.firm,
                ", ".join(visit.what),
                wording.moment(visit.leaves),
                wording.moment(visit.back),
                ", ".join(f"{wording.number(n)} {colour}" for colour, n in lot.in_colours.items()),
            ]
            for lot in paper.lots
            for visit in lot.visits
        ],
        "wishes": [
            [
                wish.words,
                "kept" if wish.kept else "refused",
                wish.because + (f" ({wish.rule})" if wish.rule else ""),
                "–" if wish.costs is None else wording.exact_money(wish.costs, money),
            ]
            for wish in paper.wishes
        ],
        "assembly": [
            [
                job.id,
                wording.moment(job.start),
                _until(job.start, job.end),
                wording.number(job.units),
                f"{job.product} {job.colourway}",
                job.batch,
            ]
            for job in paper.assembly
        ],
        "packing": [
            [
                line.id,
                f"{line.tier}, {line.region}{wording.part_of(line)}",
                f"{wording.moment(line.start)} to {_until(line.start, line.end)}",
                wording.number(line.parcels),
                _contents(line.contents, line.pieces, line.carton),
                _carton(line),
                line.dispatch,
            ]
            for line in paper.packing
        ],
        "pick_ups": [
            {
                "title": f"{wording.moment(sheet.at)}: {wording.counted(sheet.parcels, 'parcel')}"
                + (f" with {sheet.carrier}" if sheet.carrier else ""),
                "id": sheet.id,
                "rows": [
                    [c.region, f"{c.tier}{wording.part_of(c)}", wording.number(c.parcels), ", ".join(c.batches)]
                    for c in sheet.consignments
                ],
            }
            for sheet in paper.pick_ups
        ],
        "customs": [
            [
                f"{c.country} {c.name}",
                wording.number(c.parcels),
                "–" if c.gross_kg is None else wording.kilograms(c.gross_kg),
                wording.exact_money(c.value, money),
                ", ".join(f"{form}: {wording.number(n)}" for form, n in c.forms.items()) if c.border else "no border",
                "; ".join(c.missing),
            ]
            for c in paper.customs
        ],
        "materials": [
            [
                wording.day(m.order_by),
                f"{m.kind} {m.id}",
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


def _run(sheet: RunSheet, swatches: dict[str, Swatch], hours: dict[str, float], called: RunNames) -> dict[str, Any]:
    run, change = sheet.run, sheet.run.changeover
    steps: list[list[str]] = []
    for load in sheet.dryer_loads:
        if load.cleaned_from is not None:
            steps.append([f"Dryer {load.dryer}: empty and clean it", f"from {wording.moment(load.cleaned_from)}"])
        steps.append(
            [
                f"Dryer {load.dryer}: fill in {_filled(load)}",
                f"by {wording.moment(load.load_at)}, {_hours(load, hours)}, dry at {wording.moment(load.dry_at)}",
            ]
        )
    if change is not None:
        if change.after_others is not None:
            steps.append(["Find out what is in the press", wording.others_left(change.after_others)])
        if change.warm_up_seconds:
            steps.append(["Warm up the press", wording.duration(change.warm_up_seconds)])
        if change.mount_seconds and not sheet.settings.clamp_kn:
            steps.append([UNSAID_CLAMP, CLAMP_SUM])
        if change.mount_seconds:
            instead = f" in place of {change.from_tool}" if change.from_tool not in (None, run.tool) else ""
            instead = " in place of theirs" if change.after_others else instead
            steps.append(["Lock out, then mount " + run.tool + instead, wording.duration(change.mount_seconds)])
        steps += [_purge(purge) for purge in change.purges]
        if change.startup_shots:
            shots = wording.counted(change.startup_shots, "start-up shot")
            steps.append([f"Scrap {shots}", wording.duration(change.startup_seconds)])
    elif run.stretches and run.stretches[0].restart_seconds:
        cold = run.stretches[0]
        shots = wording.counted(cold.restart_shots, "start-up shot")
        steps.append([f"Warm up the press, then scrap {shots}", wording.duration(cold.restart_seconds)])
    steps += _closings(run)
    return {
        "called": sheet.called,
        "press": run.press,
        "tool": run.tool,
        "when": f"{wording.moment(run.start)} to {_until(run.start, run.end)}",
        "setting": "" if change is None else f"{wording.moment(change.start)} to {_until(change.start, change.end)}",
        "setter": "" if change is None else str(change.setter),
        "shots": wording.number(run.shots),
        "shot_seconds": f"{wording.number(run.shot_seconds, 1)} s",
        "settings": _settings(sheet.settings),
        "heat": [_heat(melt) for melt in sheet.melts],
        "waits": called.spoken(run.waits_for or ""),
        "melts": [
            [
                str(melt.barrel),
                f"{melt.resin}/{melt.colour}",
                wording.kilograms(melt.melt_kg),
                f"{wording.kilograms(melt.masterbatch_kg)} ({wording.number(melt.let_down_percent, 1)})"
                if melt.let_down_percent
                else "none",
                f"{wording.number(melt.shot_g, 1)} g",
                swatches[melt.colour].fill,
            ]
            for melt in sheet.melts
        ],
        "steps": steps,
        "over": wording.into_the_mould(run),
        "after": wording.others_take_over(run),
        "stretches": [
            [
                wording.moment(one.start),
                _until(one.start, one.end),
                wording.number(one.restart_shots) if one.restart_shots else "–",
                wording.number(one.shots),
            ]
            for one in run.stretches
        ],
        "parts": [[wording.number(part.good), part.part, " / ".join(part.colours)] for part in run.parts],
        "samples": [
            [
                f"{s.part} {'/'.join(s.colours)}",
                s.defect,
                f"{s.aql:g}",
                wording.number(s.lot),
                s.letter or "all",
                wording.number(s.n),
                str(s.accept),
                str(s.reject),
            ]
            for s in sheet.samples
        ],
        "checks": [
            [
                f"{c.part} {'/'.join(c.colours)}",
                *map(wording.number, (c.first_off, c.sample, c.last_off, c.used_up)),
                f"{wording.number(c.minutes, 1)} min",
            ]
            for c in sheet.checks
        ],
        "severity": sheet.severity,
        "sampled_by": sheet.sampled_by,
        "cautions": [[c.about, _plain(c.text)] for c in sheet.cautions],
        "purges": change is not None and bool(change.purges),
        "address": sheet.address,
        "code": _code(sheet.address),
    }


UNKNOWN = "unknown: ask the supplier"
LEAST_TOP_UP_KG = 0.05
"""Below that a dryer is not said to be topped up."""


UNSAID_CLAMP = "Do not mount it before its clamp force was worked out and is within what the press holds"
CLAMP_SUM = "projected area x cavity pressure; a tool that opens under pressure sprays melt"


def _settings(settings: Settings) -> list[list[str]]:
    """What to set on the machine and to look at on the tool, label and value."""
    open_ = ", ".join(
        f"{one.part} {wording.number(one.open)} of {wording.number(one.cavities)}" for one in settings.cavities
    )
    clamp = f"{wording.number(settings.clamp_kn)} kN" if settings.clamp_kn else "not said: ask whoever made the tool"
    return [
        ["machine cycle", f"{wording.number(settings.cycle_s, 1)} s"],
        ["cavities open", open_],
        ["clamp", clamp],
        ["mould", "by the resin, above" if settings.mould_c is None else f"{wording.number(settings.mould_c)} °C"],
    ]


def _heat(melt: MeltDraw) -> list[str]:
    """Barrel, resin, melt and mould temperature, drying, each with where it comes from where it is not the maker's."""
    drying = "none"
    if melt.drying.hours:
        at = UNKNOWN if melt.drying.degrees_c is None else _range(melt.drying.degrees_c)
        drying = f"{wording.number(melt.drying.hours, 1)} h at {at}"
    elif melt.drying.usual_hours is not None:
        drying = f"not asked for; usual: {_hours_range(melt.drying.usual_hours)}"
    return [
        str(melt.barrel),
        melt.resin,
        UNKNOWN if melt.melt_c is None else _range(melt.melt_c),
        UNKNOWN if melt.mould_c is None else _range(melt.mould_c),
        drying,
        "; ".join(dict.fromkeys(melt.sources)),
    ]


def _range(degrees: tuple[float, float]) -> str:
    low, high = (wording.number(one) for one in degrees)
    return f"{low} °C" if low == high else f"{low} to {high} °C"


def _hours_range(hours: tuple[float, float]) -> str:
    low, high = hours
    most = f"{wording.number(high, 1)} h"
    return most if low == high else f"{wording.number(low, 1)} to {most}"


def _closings(run: Run) -> list[list[str]]:
    """Before each closing of a melt that must not stand, and at each start after it: once, with all the moments."""
    closed = [stretch for stretch in run.stretches if stretch.closing is not None]
    if not closed or closed[0].closing is None:
        return []
    moments = "; ".join(wording.moment(stretch.end) for stretch in closed)
    said = wording.closing_said(closed[0].closing)
    steps = [["Never leave it to stand: before each closing and after the last shot", f"{said}. Done by {moments}"]]
    again = next((stretch for stretch in closed if stretch.purges), None)
    if again is not None:
        purges = "; ".join(": ".join(_purge(purge)) for purge in again.purges)
        steps.append(["At each start after a closing, warm up, then", purges])
    return steps


def _purge(purge: Purge) -> list[str]:
    title = f"Purge {purge.where} {purge.barrel}: {purge.from_} to {purge.to}"
    if purge.from_ == UNKNOWN_MELT:
        title = (
            f"Purge {purge.where} {purge.barrel} of what nobody knows, to {purge.to}: begin no hotter than that may "
            "stand, look at what comes out"
        )
    if purge.heat_seconds or purge.bridge:
        then = "then" if purge.from_ == UNKNOWN_MELT else "first"
        title = f"{title}; {then} {wording.heat_and_bridge(purge).rstrip('; ')}".removesuffix(", then")
    about = f"{wording.kilograms(purge.kg_p10)} to {wording.kilograms(purge.kg_p90)}, {purge.basis}"
    shots = f"{wording.counted(purge.shots, 'shot')} through the tool" if purge.shots else "air shots into the open"
    lasts = wording.duration(purge.seconds)
    if purge.way == "melt alone":
        return [title, f"{wording.kilograms(purge.kg)}, {shots}, about {lasts} ({about})"]
    soak = f", soak {wording.duration(purge.soak_seconds)}" if purge.soak_seconds else ""
    return [
        f"{title}, with purging compound",
        f"{wording.kilograms(purge.compound_kg)} of compound{soak}, rinse with {wording.kilograms(purge.rinse_kg)} of "
        f"{purge.to}; {wording.kilograms(purge.kg)} in all, {shots}, about {lasts} ({about})",
    ]


def _carton(line: PackLine) -> str:
    """`carton-3, 310 x 210 x 120 mm, 0.56 kg gross, charged as 1.00 kg; 2 pallets`, as far as it is known."""
    if line.carton is None or line.outside_mm is None or line.gross_kg is None or line.charged_kg is None:
        return "–"
    sides = " × ".join(str(side) for side in line.outside_mm)
    said = f"{line.carton}, {sides} mm, {wording.kilograms(line.gross_kg)} gross"
    charged = f", charged as {wording.kilograms(line.charged_kg)}" if line.charged_kg else ""
    return said + charged + (f"; {wording.counted(line.pallets, 'pallet')}" if line.pallets else "")


def _until(start: datetime, end: datetime) -> str:
    """The end of a stretch: its time, with the day only where that is another."""
    return f"{end:%H:%M}" if start.date() == end.date() else wording.moment(end)


def _hours(load: DryerLoad, hours: dict[str, float]) -> str:
    at = "" if load.degrees_c is None else f" at {wording.number(load.degrees_c)} °C"
    return f"{wording.number(hours[load.resin], 1)} h{at}"


def _filled(load: DryerLoad) -> str:
    """What goes in at first, and what tops it up."""
    if load.fill_kg is None or load.kg - load.fill_kg < LEAST_TOP_UP_KG:
        return f"{wording.kilograms(load.kg)} of {load.resin}"
    filled, whole = wording.kilograms(load.fill_kg), wording.kilograms(load.kg)
    return f"{filled} of {load.resin}, and keep it topped up ({whole} in all)"


def _load(load: DryerLoad, starts: datetime, hours: dict[str, float], called: RunNames) -> list[str]:
    return [
        load.dryer,
        load.resin,
        _filled(load),
        ("" if load.cleaned_from is None else f"clean {wording.moment(load.cleaned_from)}, fill ")
        + wording.moment(load.load_at)
        + ("" if starts == load.load_at else f", timer starts it {wording.moment(starts)}"),
        wording.moment(load.dry_at),
        _hours(load, hours),
        called.all_of(load.runs),
    ]


def _contents(contents: dict[str, dict[str, int]], pieces: dict[str, int], carton: str | None) -> str:
    """`2 planter sage, 1 planter ink; 1 leaflet`: what is assembled, then the bought-in pieces beside the carton."""
    units = [f"{n} {product} {way}" for product, ways in contents.items() for way, n in ways.items()]
    beside = [f"{n} {piece}" for piece, n in pieces.items() if piece != carton or n > 1]
    return "; ".join([", ".join(units), ", ".join(beside)]).removesuffix("; ")


def _plain(text: str) -> str:
    return text.replace("`", "")


def _code(address: str) -> list[int]:
    """The code as the bytes of a PNG."""
    out = io.BytesIO()
    segno.make(address, error="m", micro=False, mask=2).save(out, kind="png", border=0, scale=4)
    return list(out.getvalue())
