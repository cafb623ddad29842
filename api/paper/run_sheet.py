"""The sheet of one run as texts: what to set, to dry, to mount, to purge, and what is drawn from it."""

from typing import Any

from api.languages import gettext, wording
from api.languages.run_words import named_run, said_of
from api.languages.sentences import said
from api.paper.content import MeltDraw, RunSheet, Settings
from api.paper.said import dryer_filled, dryer_hours, dryer_timer, from_to, plain, qr_code, until
from api.pictures.colours import Swatch
from planner.campaign.unknown_melts import UNKNOWN as UNKNOWN_MELT
from planner.cautions.unattended import heats_from
from planner.plan.document import Changeover, DryerLoad, Purge, Run
from planner.plan.run_names import RunNames


def run_sheet(
    sheet: RunSheet, swatches: dict[str, Swatch], hours: dict[str, float], called: RunNames
) -> dict[str, Any]:
    """hours: how long each resin dries. called: runs by the names that people read."""
    run, change = sheet.run, sheet.run.changeover
    return {
        "called": named_run(called[run.id]),
        "press": run.press,
        "tool": run.tool,
        "when": from_to(run.start, run.end) + (f" ({sheet.there})" if sheet.there else ""),
        "setting": "" if change is None else from_to(change.start, change.end),
        "setter": "" if change is None else str(change.setter),
        "shots": wording.number(run.shots),
        "shot_seconds": f"{wording.number(run.shot_seconds, 1)} s",
        "settings": _settings(sheet.settings),
        "heat": [_heat(melt) for melt in sheet.melts],
        "waits": said_of(run.waits_for or "", called),
        "melts": [_melt(melt, swatches[melt.colour].fill) for melt in sheet.melts],
        "steps": [*_to_dry(sheet, hours), *_on_the_press(sheet), *_closings(run)],
        "over": wording.into_the_mould(run),
        "stays": wording.who_stays(run),
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
        "severity": said(sheet.severity),
        "sampled_by": said(sheet.sampled_by),
        "agree": sheet.sampled_by == "common practice",
        "cautions": [[said(c.about), plain(said(c.text))] for c in sheet.cautions],
        "purges": change is not None and bool(change.purges),
        "address": sheet.address,
        "code": qr_code(sheet.address),
    }


def _to_dry(sheet: RunSheet, hours: dict[str, float]) -> list[list[str]]:
    steps: list[list[str]] = []
    for load in sheet.dryer_loads:
        starts = heats_from(load.load_at, load.dry_at, hours[load.resin])
        if load.cleaned_from is not None:
            steps.append(
                [
                    gettext("Dryer %(dryer)s: empty and clean it") % {"dryer": load.dryer},
                    gettext("from %(when)s") % {"when": wording.moment(load.cleaned_from)},
                ]
            )
        when = {
            "by": wording.moment(load.load_at) + dryer_timer(load, starts),
            "lasts": dryer_hours(load, hours),
            "dry": wording.moment(load.dry_at),
        }
        steps.append(
            [
                f"{_filled_when(load, sheet.run)} {dryer_filled(load)}",
                gettext("by %(by)s, %(lasts)s, dry at %(dry)s") % when,
            ]
        )
    return steps


def _filled_when(load: DryerLoad, run: Run) -> str:
    """Which dryer is filled, and whether an earlier run has done so, or it is done while this one goes on."""
    begins = run.changeover.start if run.changeover else run.stretches[0].start
    if load.used_from < begins:
        return gettext("Dryer %(dryer)s was filled for an earlier run:") % {"dryer": load.dryer}
    if load.load_at > begins:
        return gettext("While the run goes on, dryer %(dryer)s: fill in") % {"dryer": load.dryer}
    return gettext("Dryer %(dryer)s: fill in") % {"dryer": load.dryer}


def _on_the_press(sheet: RunSheet) -> list[list[str]]:
    """What is done there before the first good shot, in order."""
    run, change = sheet.run, sheet.run.changeover
    steps: list[list[str]] = []
    if change is not None:
        if change.after_others is not None:
            steps.append([gettext("Find out what is in the press"), wording.others_left(change.after_others)])
        unknown = [
            wording.place(purge.where, purge.barrel)
            for purge in change.purges
            if purge.from_ == UNKNOWN_MELT and not (change.after_others and purge.where == "barrel")
        ]
        if unknown:
            places = f" {gettext('and')} ".join(unknown)
            find = gettext("Find out what is in %(places)s, before you heat it") % {"places": places}
            asked = gettext("nobody has said: ask whoever had it; it may not stand the heat of what comes")
            steps.append([find, asked])
        if change.warm_up_seconds:
            steps.append([gettext("Warm up the press"), wording.duration(change.warm_up_seconds)])
        if change.mount_seconds and not sheet.settings.clamp_kn:
            held = gettext("Do not mount it before its clamp force was worked out and is within what the press holds")
            how = gettext("projected area x cavity pressure; a tool that opens under pressure sprays melt")
            steps.append([held, how])
        if change.mount_seconds:
            steps.append([_mount(run.tool, change), wording.duration(change.mount_seconds)])
        steps += [_purge(purge) for purge in change.purges]
        if change.startup_shots:
            shots = wording.counted(change.startup_shots, "start-up shot")
            steps.append([gettext("Scrap %(shots)s") % {"shots": shots}, wording.duration(change.startup_seconds)])
    elif run.stretches and run.stretches[0].restart_seconds:
        cold = run.stretches[0]
        shots = wording.counted(cold.restart_shots, "start-up shot")
        told = gettext("Warm up the press, then scrap %(shots)s") % {"shots": shots}
        steps.append([told, wording.duration(cold.restart_seconds)])
    return steps


def _mount(tool: str, change: Changeover) -> str:
    told = {"tool": tool, "instead": change.from_tool}
    if change.after_others:
        return gettext("Lock out, then mount %(tool)s in place of theirs") % told
    if change.from_tool in (None, tool):
        return gettext("Lock out, then mount %(tool)s") % told
    return gettext("Lock out, then mount %(tool)s in place of %(instead)s") % told


def _melt(melt: MeltDraw, fill: str) -> list[str]:
    return [
        str(melt.barrel),
        f"{melt.resin}/{melt.colour}",
        wording.kilograms(melt.melt_kg),
        f"{wording.kilograms(melt.masterbatch_kg)} ({wording.number(melt.let_down_percent, 1)})"
        if melt.let_down_percent
        else gettext("without"),
        f"{wording.number(melt.shot_g, 1)} g",
        fill,
    ]


def _samples(sheet: RunSheet) -> list[list[str]]:
    return [
        [
            f"{s.part} {'/'.join(s.colours)}",
            said(s.defect),
            wording.figure(s.aql),
            wording.number(s.lot),
            s.letter or gettext("all"),
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
        f"{one.part} "
        + gettext("%(n)s of %(all)s") % {"n": wording.number(one.open), "all": wording.number(one.cavities)}
        for one in settings.cavities
    )
    clamp = gettext("not said: ask whoever made the tool")
    if settings.clamp_kn:
        clamp = f"{wording.number(settings.clamp_kn)} kN"
    mould = gettext("by the resin, above") if settings.mould_c is None else f"{wording.number(settings.mould_c)} °C"
    return [
        [gettext("machine cycle"), f"{wording.number(settings.cycle_s, 1)} s"],
        [gettext("cavities open"), open_],
        [gettext("clamp"), clamp],
        [gettext("mould"), mould],
    ]


def _heat(melt: MeltDraw) -> list[str]:
    """Barrel, resin, melt and mould temperature, drying, each with where it comes from where it is not the maker's."""
    drying, unknown = gettext("none"), gettext("unknown: ask the supplier")
    if melt.drying.hours:
        at = unknown if melt.drying.degrees_c is None else _range(melt.drying.degrees_c)
        drying = gettext("%(hours)s h at %(degrees)s") % {
            "hours": wording.number(melt.drying.hours, 1),
            "degrees": at,
        }
    elif melt.drying.usual_hours is not None:
        drying = gettext("not asked for; usual: %(hours)s") % {"hours": _hours_range(melt.drying.usual_hours)}
    return [
        str(melt.barrel),
        melt.resin,
        unknown if melt.melt_c is None else _range(melt.melt_c),
        unknown if melt.mould_c is None else _range(melt.mould_c),
        drying,
        "; ".join(dict.fromkeys(map(said, melt.sources))),
    ]


def _range(degrees: tuple[float, float]) -> str:
    low, high = (wording.number(one) for one in degrees)
    return f"{low} °C" if low == high else gettext("%(low)s to %(high)s °C") % {"low": low, "high": high}


def _hours_range(hours: tuple[float, float]) -> str:
    low, high = (wording.number(one, 1) for one in hours)
    return f"{low} h" if low == high else gettext("%(low)s to %(high)s h") % {"low": low, "high": high}


def _closings(run: Run) -> list[list[str]]:
    """Before each closing of a melt that must not stand, and at each start after it: once, with all the moments."""
    closed = [stretch for stretch in run.stretches if stretch.closing is not None]
    if not closed or closed[0].closing is None:
        return []
    moments = "; ".join(wording.moment(stretch.end) for stretch in closed)
    told = {"clear": wording.closing_said(closed[0].closing), "moments": moments}
    steps = [
        [
            gettext("Never leave it to stand: before each closing and after the last shot"),
            gettext("%(clear)s. Done by %(moments)s") % told,
        ]
    ]
    again = next((stretch for stretch in closed if stretch.purges), None)
    if again is not None:
        purges = "; ".join(": ".join(_purge(purge)) for purge in again.purges)
        steps.append([gettext("At each start after a closing, warm up, then"), purges])
    return steps


def _purge(purge: Purge) -> list[str]:
    place = wording.place(purge.where, purge.barrel)
    title = gettext("Purge %(place)s: %(old)s to %(new)s") % {"place": place, "old": purge.from_, "new": purge.to}
    if purge.from_ == UNKNOWN_MELT:
        careful = gettext(
            "Purge %(place)s of what nobody knows, to %(new)s: begin no hotter than that may stand, look at what comes "
            "out"
        )
        title = careful % {"place": place, "new": purge.to}
    then = gettext("then")
    if purge.heat_seconds or purge.bridge or purge.goes_in:
        order = gettext("first") if purge.heat or purge.bridge else ""
        order = then if purge.from_ == UNKNOWN_MELT else order
        heats = wording.heat_and_bridge(purge).rstrip("; ")
        title = f"{title}; {order} {heats}" if order else f"{title}; {heats}"
        title = title.removesuffix(f", {then}")
    told = {
        "kg": wording.kilograms(purge.kg),
        "compound": wording.kilograms(purge.compound_kg),
        "rinse": wording.kilograms(purge.rinse_kg),
        "soak": wording.duration(purge.soak_seconds),
        "new": purge.to,
        "shots": _shots(purge),
        "time": wording.duration(purge.seconds),
        "low": wording.kilograms(purge.kg_p10),
        "high": wording.kilograms(purge.kg_p90),
        "basis": wording.whose_figure(purge.basis),
    }
    if purge.way == "melt alone":
        return [title, gettext("%(kg)s, %(shots)s, about %(time)s (%(low)s to %(high)s, %(basis)s)") % told]
    soaked = gettext(
        "%(compound)s of compound, soak %(soak)s, rinse with %(rinse)s of %(new)s; %(kg)s in all, %(shots)s, about "
        "%(time)s (%(low)s to %(high)s, %(basis)s)"
    )
    rinsed = gettext(
        "%(compound)s of compound, rinse with %(rinse)s of %(new)s; %(kg)s in all, %(shots)s, about %(time)s (%(low)s "
        "to %(high)s, %(basis)s)"
    )
    return [
        gettext("%(purge)s, with purging compound") % {"purge": title},
        (soaked if purge.soak_seconds else rinsed) % told,
    ]


def _shots(purge: Purge) -> str:
    if not purge.shots:
        return gettext("air shots into the open")
    return gettext("%(shots)s through the tool") % {"shots": wording.counted(purge.shots, "shot")}
