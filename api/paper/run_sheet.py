"""The sheet of one run as texts: what to set, to dry, to mount, to purge, and what is drawn from it."""

from typing import Any

from api import wording
from api.paper.content import MeltDraw, RunSheet, Settings
from api.paper.said import dryer_filled, dryer_hours, dryer_timer, plain, qr_code, until
from api.pictures.colours import Swatch
from planner.campaign.unknown_melts import UNKNOWN as UNKNOWN_MELT
from planner.cautions.unattended import heats_from
from planner.plan.document import DryerLoad, Purge, Run
from planner.plan.run_names import RunNames

UNKNOWN = "unknown: ask the supplier"

UNSAID_CLAMP = "Do not mount it before its clamp force was worked out and is within what the press holds"
UNSAID_CONTENT = "nobody has said: ask whoever had it; it may not stand the heat of what comes"
CLAMP_SUM = "projected area x cavity pressure; a tool that opens under pressure sprays melt"


def run_sheet(
    sheet: RunSheet, swatches: dict[str, Swatch], hours: dict[str, float], called: RunNames
) -> dict[str, Any]:
    """hours: how long each resin dries. called: runs by the names that people read."""
    run, change = sheet.run, sheet.run.changeover
    return {
        "called": sheet.called,
        "press": run.press,
        "tool": run.tool,
        "when": f"{wording.moment(run.start)} to {until(run.start, run.end)}"
        + (f" ({sheet.there})" if sheet.there else ""),
        "setting": "" if change is None else f"{wording.moment(change.start)} to {until(change.start, change.end)}",
        "setter": "" if change is None else str(change.setter),
        "shots": wording.number(run.shots),
        "shot_seconds": f"{wording.number(run.shot_seconds, 1)} s",
        "settings": _settings(sheet.settings),
        "heat": [_heat(melt) for melt in sheet.melts],
        "waits": called.spoken(run.waits_for or ""),
        "melts": [_melt(melt, swatches[melt.colour].fill) for melt in sheet.melts],
        "steps": [*_to_dry(sheet, hours), *_on_the_press(sheet), *_closings(run)],
        "over": wording.into_the_mould(run),
        "after": wording.others_take_over(run),
        "stretches": [
            [
                wording.moment(one.start),
                until(one.start, one.end),
                wording.number(one.restart_shots) if one.restart_shots else "–",
                wording.number(one.shots),
            ]
            for one in run.stretches
        ],
        "parts": [[wording.number(part.good), part.part, " / ".join(part.colours)] for part in run.parts],
        "samples": _samples(sheet),
        "checks": _checks(sheet),
        "severity": sheet.severity,
        "sampled_by": sheet.sampled_by,
        "cautions": [[c.about, plain(c.text)] for c in sheet.cautions],
        "purges": change is not None and bool(change.purges),
        "address": sheet.address,
        "code": qr_code(sheet.address),
    }


def _to_dry(sheet: RunSheet, hours: dict[str, float]) -> list[list[str]]:
    steps: list[list[str]] = []
    for load in sheet.dryer_loads:
        starts = heats_from(load.load_at, load.dry_at, hours[load.resin])
        if load.cleaned_from is not None:
            steps.append([f"Dryer {load.dryer}: empty and clean it", f"from {wording.moment(load.cleaned_from)}"])
        steps.append(
            [
                f"{_filled_when(load, sheet.run)} {dryer_filled(load)}",
                f"by {wording.moment(load.load_at)}{dryer_timer(load, starts)}, {dryer_hours(load, hours)}, "
                f"dry at {wording.moment(load.dry_at)}",
            ]
        )
    return steps


def _filled_when(load: DryerLoad, run: Run) -> str:
    """Which dryer is filled, and whether an earlier run has done so, or it is done while this one goes on."""
    begins = run.changeover.start if run.changeover else run.stretches[0].start
    if load.used_from < begins:
        return f"Dryer {load.dryer} was filled for an earlier run:"
    if load.load_at > begins:
        return f"While the run goes on, dryer {load.dryer}: fill in"
    return f"Dryer {load.dryer}: fill in"


def _on_the_press(sheet: RunSheet) -> list[list[str]]:
    """What is done there before the first good shot, in order."""
    run, change = sheet.run, sheet.run.changeover
    steps: list[list[str]] = []
    if change is not None:
        if change.after_others is not None:
            steps.append(["Find out what is in the press", wording.others_left(change.after_others)])
        unknown = [
            f"{purge.where} {purge.barrel}"
            for purge in change.purges
            if purge.from_ == UNKNOWN_MELT and not (change.after_others and purge.where == "barrel")
        ]
        if unknown:
            steps.append([f"Find out what is in {' and '.join(unknown)}, before you heat it", UNSAID_CONTENT])
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
    return steps


def _melt(melt: MeltDraw, fill: str) -> list[str]:
    return [
        str(melt.barrel),
        f"{melt.resin}/{melt.colour}",
        wording.kilograms(melt.melt_kg),
        f"{wording.kilograms(melt.masterbatch_kg)} ({wording.number(melt.let_down_percent, 1)})"
        if melt.let_down_percent
        else "none",
        f"{wording.number(melt.shot_g, 1)} g",
        fill,
    ]


def _samples(sheet: RunSheet) -> list[list[str]]:
    return [
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
    ]


def _checks(sheet: RunSheet) -> list[list[str]]:
    return [
        [
            f"{c.part} {'/'.join(c.colours)}",
            *map(wording.number, (c.first_off, c.sample, c.last_off, c.used_up)),
            f"{wording.number(c.minutes, 1)} min",
        ]
        for c in sheet.checks
    ]


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
    if purge.heat_seconds or purge.bridge or purge.goes_in:
        order = "then " if purge.from_ == UNKNOWN_MELT else "first " if purge.heat or purge.bridge else ""
        title = f"{title}; {order}{wording.heat_and_bridge(purge).rstrip('; ')}".removesuffix(", then")
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
