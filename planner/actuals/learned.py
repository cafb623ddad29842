"""What the floor teaches: cycle, scrap, bench minutes, purge. Offered with its evidence, never applied in silence."""

import math
from collections import Counter, defaultdict

from pydantic import Field

from planner.actuals.entries import Actuals, Assembled, Packed, Purged, ShotsMade
from planner.campaign import Campaign
from planner.campaign.pointers import pointer
from planner.demand.items import open_cavities
from planner.plan.document import PlanPart
from planner.purge.figures import campaign_figures

Z90 = 1.6449
"""Standard normal: 90 % lie within."""

FEWEST_PARTS = 100
"""Parts counted, or units and parcels timed, below which nothing is offered."""


class Learned(PlanPart):
    """One figure the floor has measured. low, high: where it lies with 90 % confidence, if that can be said."""

    what: str
    pointer: str = Field(description="the campaign's field it would replace (RFC 6901)")
    now: float
    learned: float
    low: float | None
    high: float | None
    observations: int = Field(description="shots, parts, units, parcels or colour changes it rests on")
    differs: bool = Field(description="true: the figure in the campaign lies outside low to high")
    words: str
    patch: list[dict[str, object]] = Field(description="JSON Patch (RFC 6902) that would take it over")


def learn(campaign: Campaign, actuals: Actuals) -> list[Learned]:
    """Everything the entries tell about the campaign's figures, by tool, bench and colour change."""
    return [
        *_cycles(campaign, actuals),
        *_scrap(campaign, actuals),
        *_benches(campaign, actuals),
        *_purges(campaign, actuals),
    ]


def _cycles(campaign: Campaign, actuals: Actuals) -> list[Learned]:
    """Seconds a shot took, brought to the press's planned efficiency, by tool."""
    runs: dict[str, list[tuple[int, float]]] = defaultdict(list)
    for entry in actuals.entries:
        if isinstance(entry, ShotsMade) and entry.hours is not None and entry.shots:
            seconds = entry.hours * 3600 / entry.shots * campaign.presses[entry.press].efficiency
            runs[entry.tool].append((entry.shots, seconds))
    found = []
    for tool, seen in sorted(runs.items()):
        shots = sum(n for n, _ in seen)
        mean = sum(n * s for n, s in seen) / shots
        between = None
        if len(seen) >= 3:  # spread between entries, weighted by shots
            variance = sum(n * (s - mean) ** 2 for n, s in seen) / shots * len(seen) / (len(seen) - 1)
            error = Z90 * math.sqrt(variance / len(seen))
            between = mean - error, mean + error
        found.append(
            _line(
                f"cycle of tool {tool}", pointer("tools", tool, "cycle_s"), campaign.tools[tool].cycle_s,
                mean, between, shots, "s", f"{shots} shots in {len(seen)} entries",
            )
        )  # fmt: skip
    return found


def _scrap(campaign: Campaign, actuals: Actuals) -> list[Learned]:
    """Share of scrap by tool, with Wilson's interval (Journal of the American Statistical Association 22, 1927)."""
    moulded: Counter[str] = Counter()
    bad: Counter[str] = Counter()
    for entry in actuals.entries:
        if isinstance(entry, ShotsMade):
            for part, good in entry.good.items():
                parts = entry.shots * open_cavities(campaign, entry.tool, part)
                moulded[entry.tool] += parts
                bad[entry.tool] += max(0, parts - good)
    found = []
    for tool, parts in sorted(moulded.items()):
        if parts < FEWEST_PARTS:
            continue
        found.append(
            _line(
                f"scrap of tool {tool}", pointer("tools", tool, "scrap_share"), campaign.tools[tool].scrap_share,
                bad[tool] / parts, wilson(bad[tool], parts), parts, "", f"{bad[tool]} of {parts} parts",
            )
        )  # fmt: skip
    return found


def wilson(hits: int, of: int, z: float = Z90) -> tuple[float, float]:
    """Wilson's score interval of a share."""
    share = hits / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    return max(0.0, middle - half), min(1.0, middle + half)


def _benches(campaign: Campaign, actuals: Actuals) -> list[Learned]:
    """Minutes of one person for a unit assembled or a parcel packed."""
    spent: dict[tuple[str, str], list[tuple[int, float]]] = defaultdict(list)
    for entry in actuals.entries:
        if isinstance(entry, Assembled) and entry.person_minutes is not None:
            spent["products", entry.product].append((entry.units, entry.person_minutes))
        elif isinstance(entry, Packed) and entry.person_minutes is not None:
            spent["tiers", campaign.orders[entry.line].tier].append((entry.parcels, entry.person_minutes))
    found = []
    for (section, name), seen in sorted(spent.items()):
        number = sum(n for n, _ in seen)
        if number < FEWEST_PARTS:
            continue
        mean = sum(minutes for _, minutes in seen) / number
        between = None
        if len(seen) >= 3:
            rates = [(n, minutes / n) for n, minutes in seen]
            variance = sum(n * (r - mean) ** 2 for n, r in rates) / number * len(seen) / (len(seen) - 1)
            error = Z90 * math.sqrt(variance / len(seen))
            between = mean - error, mean + error
        field = "assembly_minutes" if section == "products" else "pack_minutes"
        what = f"assembly of {name}" if section == "products" else f"packing of {name}"
        now = float(getattr(getattr(campaign, section)[name], field))
        evidence = f"{number} in {len(seen)} entries"
        found.append(_line(what, pointer(section, name, field), now, mean, between, number, "minutes", evidence))
    return found


def _purges(campaign: Campaign, actuals: Actuals) -> list[Learned]:
    """Real purges against the figures planned with, by barrel; taken over by adding them to the purge log."""
    seen: dict[tuple[str, int], list[Purged]] = defaultdict(list)
    for entry in actuals.entries:
        if (
            isinstance(entry, Purged)
            and entry.from_ is not None
            and entry.kg > 0
            and entry.barrel <= len(campaign.presses[entry.press].barrels)
        ):
            seen[entry.press, entry.barrel].append(entry)
    if not seen:
        return []
    melts = sorted({m for entries in seen.values() for e in entries for m in (e.from_ or "", e.to)})
    index = {m: n for n, m in enumerate(melts)}
    figures = campaign_figures(campaign, melts)
    found = []
    for (press, barrel), entries in sorted(seen.items()):
        kg = figures[press, barrel - 1].kg
        # those with compound go into the log as such: they teach the compound's figures, not the melt's
        melted = [e for e in entries if not e.compound_kg]
        ratios = [e.kg / p for e in melted if (p := float(kg[index[e.from_ or ""], index[e.to]])) > 0]
        if not ratios:
            continue
        logs = [math.log(r) for r in ratios]
        mean = sum(logs) / len(logs)
        between = None
        if len(logs) >= 3:
            error = Z90 * math.sqrt(sum((x - mean) ** 2 for x in logs) / (len(logs) - 1) / len(logs))
            between = math.exp(mean - error), math.exp(mean + error)
        line = _line(
            f"purge in barrel {barrel} of press {press}", "/purging/log", 1.0, math.exp(mean), between, len(ratios),
            "of what was planned", f"{len(ratios)} colour changes",
        )  # fmt: skip
        log = [
            {"press": press, "barrel": barrel, "from": e.from_, "to": e.to, "kg": e.kg, "on": e.at.date().isoformat()}
            | ({"compound": True} if e.compound_kg else {})
            for e in entries
        ]
        kept = [e.model_dump(mode="json", by_alias=True, exclude_unset=True) for e in campaign.purging.log]
        purging = campaign.purging.model_dump(mode="json", by_alias=True, exclude_unset=True) | {"log": kept + log}
        found.append(line.model_copy(update={"patch": [{"op": "add", "path": "/purging", "value": purging}]}))
    return found


def _line(
    what: str, where: str, now: float, learned: float, between: tuple[float, float] | None, observations: int,
    unit: str, evidence: str,
) -> Learned:  # fmt: skip
    differs = between is not None and not between[0] <= now <= between[1]
    span = f", between {between[0]:.4g} and {between[1]:.4g}" if between else ""
    words = f"{what}: planned with {now:.4g}, measured {learned:.4g} {unit}".rstrip() + f"{span} ({evidence})"
    return Learned(
        what=what,
        pointer=where,
        now=now,
        learned=round(learned, 6),
        low=None if between is None else round(between[0], 6),
        high=None if between is None else round(between[1], 6),
        observations=observations,
        differs=differs,
        words=words,
        patch=[{"op": "add", "path": where, "value": round(learned, 6)}],
    )
