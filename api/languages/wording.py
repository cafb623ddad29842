"""What pages, paper and pictures say alike. Dates, money and masses are those of `planner.wording`, or as the reader's
country writes them."""

import re
from collections.abc import Callable, Iterable
from copy import copy
from datetime import date, datetime
from functools import cache
from math import floor, log10
from typing import Any, Protocol

from babel import Locale
from babel.dates import format_skeleton
from babel.numbers import NumberPattern, get_currency_precision, get_currency_symbol

from api.languages import gettext, ngettext
from api.languages.reading import now_reading
from planner import wording as plain
from planner.calendars.places import local
from planner.campaign import Campaign
from planner.campaign.carriers import ELSEWHERE
from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.document import Closing, GoesIn, OthersBefore, Purge, Run
from planner.plan.finished import FinishingJob, PutTogether
from planner.wording import MONTHS as MONTHS
from planner.wording import THIN as THIN
from planner.wording import WEEKDAYS as WEEKDAYS
from planner.wording import duration as duration

OUNCE_KG, POUND_KG = 0.028349523125, 0.45359237
"""International avoirdupois."""


@cache
def _locale(name: str) -> Locale:
    return Locale.parse(name)


def _places(pattern: NumberPattern, places: int) -> NumberPattern:
    """The country's pattern with just so many places."""
    found = copy(pattern)
    found.frac_prec = (places, places)
    return found


def day(when: date | datetime | None) -> str:
    """`Mon 11 Jan 2027`; to a reader elsewhere `Mon, Jan 11, 2027`, `Mo., 11. Jan. 2027`."""
    return _dated(when, "yMMMEd", plain.day)


def short_day(when: date | datetime) -> str:
    """`Mon 11 Jan`: where the year stands beside it."""
    return _dated(when, "MMMEd", plain.short_day)


def plain_day(when: date | datetime) -> str:
    """`11 Jan 2027`: a day without that of the week, to be written over."""
    return _dated(when, "yMMMd", lambda on: f"{on.day} {MONTHS[on.month - 1]} {on.year}")


def _dated(when: date | datetime | None, skeleton: str, otherwise: Callable[[Any], str]) -> str:
    name = now_reading().locale
    if when is None or name in ("", "en_GB"):
        return otherwise(when)
    return format_skeleton(skeleton, when.date() if isinstance(when, datetime) else when, locale=_locale(name))


def moment(when: datetime | None) -> str:
    """The day and `06:27`, wall-clock time of the offset the moment carries, in 24 hours for everybody."""
    return "–" if when is None else f"{day(when)} {when:%H:%M}"


def short_moment(when: datetime) -> str:
    """As `moment`, where the year stands beside it."""
    return f"{short_day(when)} {when:%H:%M}"


def number(value: float, places: int = 0) -> str:
    """`31 156` or `1 533.7`; to a reader elsewhere `31,156` or `1.533,7`."""
    name = now_reading().locale
    if not name:
        return plain.number(value, places)
    written = _places(_locale(name).decimal_formats[None], places).apply(round(value, places), _locale(name))
    return str(written).replace("-", "−")


def figure(value: float) -> str:
    """Four figures that mean something."""
    return plain.figure(value, number)


def signed(value: float, places: int = 0) -> str:
    """A difference with its sign."""
    return plain.signed(value, places, number)


def money(amount: float, currency: str) -> str:
    """Whole units from a thousand on: `31 156 GBP`; as the currency is written where the reader is, `£31,156`."""
    name = now_reading().locale
    if not name:
        return plain.money(amount, currency)
    return _in_currency(amount, currency, 0 if abs(amount) >= 999.5 else get_currency_precision(currency))


def exact_money(amount: float, currency: str) -> str:
    """To the currency's smallest unit."""
    if not now_reading().locale:
        return plain.exact_money(amount, currency)
    return _in_currency(amount, currency, get_currency_precision(currency))


def estimated_money(amount: float, reach: float, currency: str) -> str:
    """Money found by simulating, to the two leading figures of its `reach` (how far off it may be, same unit)."""
    step = 10.0 ** (floor(log10(reach)) - 1) if reach > 0.0 else 0.0
    if step < 1.0:
        return exact_money(amount, currency)
    whole = round(amount / step) * step + 0.0
    return _in_currency(whole, currency, 0) if now_reading().locale else f"{number(whole)}{THIN}{currency}"


def currency_symbol(currency: str) -> str:
    """`£`, over a column of figures; to nobody in particular `GBP`."""
    name = now_reading().locale
    return get_currency_symbol(currency, locale=_locale(name)) if name else currency


def _in_currency(amount: float, currency: str, places: int) -> str:
    name = now_reading().locale
    pattern = _places(_locale(name).currency_formats["standard"], places)
    written = pattern.apply(round(amount, places), _locale(name), currency=currency, currency_digits=False)
    return str(written).replace("-", "−")


def kilograms(kg: float) -> str:
    """Three figures that mean something; in pounds and ounces for who reads in them."""
    if not now_reading().pounds:
        return plain.kilograms(kg, number)
    if abs(kg) < POUND_KG:
        return f"{number(kg / OUNCE_KG, 1)}{THIN}oz"
    pounds = kg / POUND_KG
    return f"{number(pounds, 0 if pounds >= 99.95 else 1)}{THIN}lb"


def weight_unit() -> str:
    """`kg`, or `lb` for who reads in pounds: over a column of `weight_figure`."""
    return "lb" if now_reading().pounds else "kg"


def weight_figure(kg: float) -> str:
    """A weight to a tenth, without its unit, which stands over its column."""
    return number(kg / POUND_KG if now_reading().pounds else kg, 1)


def per_cent(share: float) -> str:
    """`5.7 %`."""
    return plain.per_cent(share, number)


def chance(share: float) -> str:
    """`80 %`, as somebody picks a chance."""
    picked = round(100 * share, 1)
    return f"{number(picked, 0 if picked == round(picked) else 1)} %"


def days(count: int) -> str:
    """`1 day`, `3 days`."""
    return f"{number(count)} {ngettext('day', 'days', count)}"


_WORK = re.compile(r"(assembly|finishing|lot|pack|dispatch)-(\d+)")


def work_name(work: str) -> str:
    """A plan's id of work beside the presses as people say it: `pack-3` is `batch 3`."""
    if (found := _WORK.fullmatch(work)) is None:
        return work
    match found[1]:
        case "pack":
            said = gettext("batch %(n)s")
        case "dispatch":
            said = gettext("pick-up %(n)s")
        case "lot":
            said = gettext("lot %(n)s")
        case "finishing":
            said = gettext("work %(n)s")
        case _:
            said = gettext("job %(n)s")
    return said % {"n": found[2]}


def work_numbers(works: Iterable[str]) -> str:
    """The same under a heading that says what they are: `3, 4`."""
    return ", ".join(found[2] if (found := _WORK.fullmatch(work)) else work for work in works)


def region(name: str) -> str:
    """A region as its maker calls it; where all other countries lie, which nobody named, in the reader's language."""
    return gettext("the world") if name == ELSEWHERE else name


SAFE, EVEN = 0.8, 0.5
"""Chances from which a promised day is called safe, and at least even."""


WHEN_LATE = {
    "as planned": "its press keeps the order and waits",
    "first ready": "its press takes the next run that is ready",
    "plan again": "it is planned again: its press waits, takes a run that is ready, or one of another press, whatever "
    "costs least by what is known then",
}
"""What a workshop does when a tool is late."""

LATE_SHORT = {
    "as planned": "keep the order and wait",
    "first ready": "take the next run that is ready",
    "plan again": "plan again by what is known then",
}
"""The same as something to choose."""


def kept(days_late: int, promised: bool, chance: float | None) -> str:
    """What becomes of a promised day: late as planned, or how sure it is that it holds.

    A plan that is in time on paper says so only where nobody has looked how sure that is, or where it is safe enough.
    """
    if not promised:
        return "nothing promised"
    if days_late:
        return f"{days(days_late)} late"
    if chance is None:
        return "on time if all goes as planned"
    holds = f"holds in {per_cent(chance)}"
    if chance >= SAFE:
        return f"on time, {holds}"
    return f"not safe: {holds}" if chance >= EVEN else f"more likely late: {holds}"


def whose_figure(basis: str) -> str:
    """Where kilograms of a purge come from, in a word or two."""
    known = {"given": gettext("your figure"), "measured": gettext("measured"), "estimated": gettext("estimated")}
    return known.get(basis, basis)


def counted(count: int, one: str, many: str | None = None) -> str:
    """`1 run`, `21 runs`."""
    return f"{number(count)} {ngettext(one, many or one + 's', count)}"


class InParts(Protocol):
    """Parcels that are one part of each of their orders."""

    @property
    def part(self) -> int: ...
    @property
    def parts(self) -> int: ...


def part_of(parcels: InParts) -> str:
    """`, part 1 of 2` behind what the parcels are; nothing where their orders go out whole."""
    if parcels.parts <= 1:
        return ""
    return ", " + gettext("part %(part)s of %(parts)s") % {"part": parcels.part, "parts": parcels.parts}


def heat_and_bridge(purge: Purge) -> str:
    """What comes before a purge where the barrel must get to another heat, closed by a semicolon; else nothing."""
    heats = _heats(purge)
    if not purge.bridge:
        return f"{heats}; " if heats else ""
    said = {"kg": kilograms(purge.bridge_kg), "bridge": purge.bridge}
    if len(purge.goes_in) > 1:
        hot = gettext("%(kg)s of %(bridge)s goes between at %(degrees)s (counted in the kilograms)")
        between = hot % (said | {"degrees": _degrees(purge.goes_in[0])})
    else:
        between = gettext("%(kg)s of %(bridge)s goes between (counted in the kilograms)") % said
    then = gettext("then")
    return f"{between}, {heats}, {then} " if heats else f"{between}, {then} "


def _heats(purge: Purge) -> str:
    """From where to where a barrel heats or cools, how long, and what may not be in it so hot; nothing: it need not."""
    heat, lasts = purge.heat, {"time": duration(purge.heat_seconds)}
    held, comes = (melt.rpartition("/")[0] for melt in (purge.from_, purge.to))
    last = purge.goes_in[-1] if purge.goes_in else None
    way_in = {"resin": comes, "degrees": _degrees(last) if last else ""}
    there = gettext("%(resin)s goes in at %(degrees)s")
    if heat is None:
        warm = gettext("heat or cool for %(time)s") % lasts if purge.heat_seconds else ""
        return ", ".join(filter(None, (warm, there % way_in if last else "")))
    said, to = [], {"to": figure(heat.set_c)} | lasts
    if heat.from_c is None:
        known = gettext("bring the barrel to %(to)s °C, up to %(time)s")
        said.append((known if purge.heat_seconds else gettext("bring the barrel to %(to)s °C")) % to)
    elif heat.from_c != heat.set_c:
        said.append(_warmed(heat.set_c > heat.from_c, bool(purge.heat_seconds)) % (to | {"from": figure(heat.from_c)}))
    if heat.set_c > heat.old_stands_c:
        out = gettext("%(melt)s must be out before it is hotter than %(degrees)s °C")
        said.append(out % {"melt": held or gettext("what is in it"), "degrees": figure(heat.old_stands_c)})
    if last:
        on_the_way = gettext("%(resin)s goes in on the way, at %(degrees)s")
        said.append((there if last.least_c <= heat.set_c <= last.most_c else on_the_way) % way_in)
    elif heat.from_c is None or heat.from_c > heat.new_stands_c:
        most = gettext("%(resin)s goes in at %(degrees)s °C at most")
        said.append(most % {"resin": comes, "degrees": figure(heat.new_stands_c)})
    return ", ".join(said)


def _warmed(hotter: bool, timed: bool) -> str:
    if timed:
        heated = gettext("heat for %(time)s, from %(from)s to %(to)s °C")
        return heated if hotter else gettext("cool for %(time)s, from %(from)s to %(to)s °C")
    heated = gettext("heat, from %(from)s to %(to)s °C")
    return heated if hotter else gettext("cool, from %(from)s to %(to)s °C")


def _degrees(way_in: GoesIn) -> str:
    low, high = figure(way_in.least_c), figure(way_in.most_c)
    return f"{low} °C" if low == high else gettext("%(low)s to %(high)s °C") % {"low": low, "high": high}


def closing_said(closing: Closing) -> str:
    """What a closing clears out of which place, with what and how hot, in words."""
    cold, hot = (
        gettext("%(place)s of %(old)s with %(kg)s of %(new)s"),
        gettext("%(place)s of %(old)s with %(kg)s of %(new)s at %(degrees)s"),
    )
    places = ", ".join(
        (hot if one.goes_in else cold)
        % {
            "place": place(one.where, one.barrel),
            "old": one.from_,
            "kg": kilograms(one.kg),
            "new": one.to,
            "degrees": _degrees(one.goes_in) if one.goes_in else "",
        }
        for one in closing.cleared
    )
    said = gettext("clear %(places)s (%(time)s); the next start purges that out again and pays for it")
    return said % {"places": places, "time": duration(closing.seconds)}


def place(where: str, barrel: int) -> str:
    """`barrel 1`, `hot runner 2`."""
    return (gettext("barrel %(n)s") if where == "barrel" else gettext("hot runner %(n)s")) % {"n": barrel}


def others_left(told: OthersBefore) -> str:
    """What others left in a press, in words."""
    unknown = gettext("nobody knows what is in barrel %(n)s: ask them before you heat it")
    known = gettext("barrel %(n)s holds %(melt)s, as they say")
    barrels = ", ".join(
        (unknown if melt == UNKNOWN else known) % {"n": n, "melt": melt} for n, melt in enumerate(told.left, start=1)
    )
    said = gettext("others worked here until %(when)s; their tool is in the press, and %(barrels)s")
    return said % {"when": moment(told.until), "barrels": barrels}


def country(code: str, name: str) -> str:
    """A country's name in the reader's language, as the Unicode CLDR has it; what was called by another stays."""
    language = now_reading().language
    return name if language == "en" else _locale(language).territories.get(code, name)


def bench_work(job: FinishingJob) -> str:
    """`pad printing of 60 pot; put together 60 x lid: cap, screw x2`: what a bench does before assembly."""
    done = gettext("%(what)s of %(n)s %(part)s")
    said = [done % {"what": ", ".join(one.what), "n": number(one.good), "part": one.part} for one in job.parts]
    return "; ".join([*said, *map(put_together, job.puts)])


def put_together(put: PutTogether) -> str:
    """`put together 60 x lid: cap, screw x2`, the parts and pieces being those of one unit."""
    of = ", ".join(name if n == 1 else f"{name} x{n}" for name, n in put.of.items())
    return gettext("put together %(n)s x %(what)s: %(of)s") % {"n": number(put.units), "what": put.what, "of": of}


def into_the_mould(run: Run) -> str:
    """What goes into the mould before each shot, and over the whole run; nothing where nothing does."""
    each = [
        f"{number(one.number // run.shots)} {one.id}"
        + (f" in {' / '.join(one.colours)}" if one.colours else "")
        + " ("
        + gettext("%(n)s in all") % {"n": number(one.number)}
        + ")"
        for one in run.takes
    ]
    return gettext("before each shot, into the mould: %(what)s") % {"what": ", ".join(each)} if each else ""


def who_stays(run: Run) -> str:
    """Who stays at the press while a run is moulded; nothing where nobody has to."""
    if run.operators == 1:
        return gettext("one person stays at the press while it moulds")
    many = {"n": number(run.operators)}
    return gettext("%(n)s people stay at the press while it moulds") % many if run.operators else ""


def on_the_clock_there(run: Run, campaign: Campaign) -> str:
    """When a run begins by the clock beside its press, where that is another than ours; else nothing."""
    shown = local(campaign, run.press, run.start)
    if shown is None:
        return ""
    said = gettext("times are ours; the clock at %(place)s then shows %(when)s")
    return said % {"place": campaign.presses[run.press].place, "when": moment(shown)}


def others_take_over(run: Run) -> str:
    """What to do after a run where others take its press over; nothing where they do not."""
    if run.others_from is None:
        return ""
    closing = run.stretches[-1].closing if run.stretches else None
    cleared = {one.barrel: one.to for one in closing.cleared if one.where == "barrel"} if closing else {}
    holds = gettext("barrel %(n)s holds %(melt)s")
    barrels = ", ".join(holds % {"n": n, "melt": cleared.get(n, melt)} for n, melt in enumerate(run.melts, start=1))
    said = gettext(
        "others take the press over from %(when)s: lock out and take %(tool)s out before then, and tell them that "
        "%(barrels)s"
    )
    return said % {"when": moment(run.others_from), "tool": run.tool, "barrels": barrels}


def purge_way(purge: Purge) -> str:
    """How a purge with compound or over a bridge is made, in brackets; nothing for melt alone."""
    if purge.bridge:
        between = gettext("%(kg)s of %(bridge)s between, while the barrel heats or cools")
        return f" ({between % {'kg': kilograms(purge.bridge_kg), 'bridge': purge.bridge}})"
    if not purge.compound_kg:
        return ""
    soaked = gettext("purging compound %(kg)s, soak %(time)s, rinse %(rinse)s")
    way = soaked if purge.soak_seconds else gettext("purging compound %(kg)s, rinse %(rinse)s")
    said = {"kg": kilograms(purge.compound_kg), "rinse": kilograms(purge.rinse_kg)}
    return f" ({way % (said | {'time': duration(purge.soak_seconds)})})"
