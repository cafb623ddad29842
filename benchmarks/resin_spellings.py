"""Hundreds of ways to write, or to leave out, what resins are: does a plan ever bring acetal and PVC together?

    python -m benchmarks.resin_spellings [cases]

Dangerous: one resin is acetal and the other PVC, chlorinated, or a halogenated flame-retardant grade, whatever is
written; they could meet in a barrel, a first content, a dryer or a two-shot part. Harmless: one is plainly acetal, the
other is not, as people write it. Prints how many were planned, and plans that bring a forbidden pair together (none).
The spellings are written down here, not taken from the planner's vocabulary; those of brands are invented.
"""

import random
import sys
from collections.abc import Iterator
from typing import Any, NamedTuple

from planner.control import Unhurried
from planner.errors import PlannerError
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read

Json = dict[str, Any]

ACETAL = (
    "POM", "pom", "Pom-C", "POM-H", "POM C", "pom_h", "POMs", "acetal", "Acetals", "ACETAL RESIN", "polyacetal",
    "poly-acetal", "Poly Acetal", "acetal copolymer", "acetal co-polymer", "co-poly acetal", "acetal homopolymer",
    "polyoxymethylene", "Poly(oxymethylene)", "poly oxy methylene", "Polyoxyméthylène", "polyformaldehyde", "ＰＯＭ",
    "P.O.M.", "P O M", "POM GF25", "POM-GF25", "POM + PTFE", "black POM", "POM (acetal)", "acetal/POM", "РОМ",
    "P0M", "acetel", "polyacital", "poliacetal", "acétal", "POM natural 2", "Slidera 900", "gear stuff",
    "house no. 4", "?", "", "other", None, "engineering plastic", "low-friction", "copo", "POMcopo",
)  # fmt: skip
HALOGENATED = (
    "PVC", "pvc", "Pvc-U", "uPVC", "UPVC", "PVC U", "PVC-P", "PVC-C", "CPVC", "c-pvc", "PVCs", "vinyl", "VINYL",
    "Vinyls", "rigid vinyl", "soft vinyl", "flexible vinyl", "vinyl compound", "poly(vinyl chloride)",
    "polyvinyl chloride", "Poly-Vinyl-Chloride", "polyvinylchloride", "polyvinylchlorid", "unplasticised PVC",
    "plasticized PVC", "soft PVC", "PVC soft 70A", "P.V.C.", "P V C", "ＰＶＣ", "ｕＰＶＣ", "PVC/ABS", "ABS/PVC",
    "ABS + PVC", "PVC-ABS blend", "PVC/PMMA", "PVDC", "chlorinated PE", "PE-C", "CPE", "РVС", "v1nyl", "vynil",
    "plastisol", "Rainhose 70", "garden hose", "house no. 5", "?", "", "other", None, "leatherette",
    "chlorinated polyethylene", "ABS FR(17)", "ABS V-0", "flame-retardant ABS", "PS brominated", "PA66 FR",
    "HIPS-FR",
)  # fmt: skip
HARMLESS = (
    "PP", "pp", "Pp", "polypropylene", "Polypropylenes", "PP-H", "PP copo", "PP homopolymer", "PP random copolymer",
    "PP talc filled", "PP-TD20", "PP GF30", "PP natural", "PP black", "recycled PP", "rPP", "PE", "polyethylene",
    "HDPE", "PE-HD", "hdpe", "high density polyethylene", "high-density PE", "LDPE", "PE-LD", "LLDPE", "PE-LLD",
    "polythene", "PS", "GPPS", "HIPS", "high impact polystyrene", "polystyrene", "PS-HI", "ABS", "abs", "A.B.S.",
    "ＡＢＳ", "ABS natural", "ABS GF20", "acrylonitrile butadiene styrene", "ASA", "SAN", "styrene acrylonitrile",
    "PC", "polycarbonate", "PC clear", "PC GF10", "PC/ABS", "PC+ABS", "ABS/PC", "PC-ABS", "PA6", "PA 6", "pa-6",
    "PA66", "PA 6.6", "PA6/6", "nylon", "Nylon 6", "nylon 66", "Nylon-6,6", "polyamide 6", "polyamide 66",
    "PA66-GF30", "PA66 GF 30", "PA12", "PA11", "PMMA", "acrylic", "polymethyl methacrylate", "PET", "PET-G", "PETG",
    "PBT", "PBT GF30", "polybutylene terephthalate", "PPO", "PPE+PS", "modified PPO", "PPS", "PEEK", "PSU", "PEI",
    "PLA", "TPE", "TPE 60A", "TPE-S", "SEBS", "TPE (SEBS)", "TPU", "TPU 85A", "thermoplastic polyurethane", "TPV",
    "TPO", "TPE-E", "TPR", "thermoplastic elastomer", "soft TPE", "Poly-propylene", "poly propylene",
    "polypropylène", "PP 5", "PP (food safe)", "virgin PP", "PP impact", "PE-MD", "injection grade PP", "SBS",
    "copolyester", "silicone", "rHDPE", "EVOH", "PPA", "house blend", "mystery", "PK", "ABS-ish",
)  # fmt: skip


class Case(NamedTuple):
    """Two resins as written, and where they could meet."""

    one: tuple[str, str | None]
    other: tuple[str, str | None]
    place: str


PLACES = ("one press", "two presses", "first content", "dryer", "two-shot")


def dangerous(number: int, seed: int = 1) -> Iterator[Case]:
    """Cases in which one resin is acetal and the other must never meet it. Ids say nothing, or something else."""
    draw = random.Random(seed)
    for n in range(number):
        one, other = ACETAL[n % len(ACETAL)], HALOGENATED[n * 7 % len(HALOGENATED)]
        ids = draw.choice(
            [("body", "rim"), ("r1", "r2"), ("gear-resin", "hose-resin"), ("pp", "abs"), ("acetal", "vinyl"),
             ("pom-2", "upvc"), ("black", "white"), ("pom", "tpe")]
        )  # fmt: skip
        yield Case((ids[0], one), (ids[1], other), PLACES[n % len(PLACES)])


def harmless(number: int, seed: int = 2) -> Iterator[Case]:
    """Cases in which one resin is plainly acetal and the other is harmless, on one press."""
    draw = random.Random(seed)
    for n in range(number):
        text = HARMLESS[n % len(HARMLESS)]
        turned = (text, text.upper(), f" {text} ", text.replace(" ", "-"))[n // len(HARMLESS) % 4]
        yield Case(("pom", "POM"), (draw.choice(["body", "r2", "shell-resin"]), turned), "one press")


def campaign(case: Case) -> Json:
    """A campaign in which the two resins could meet in that place, if nobody kept them apart."""
    (one, one_family), (other, other_family) = case.one, case.other
    resins = {
        name: {"lead_days": 2, "stock_kg": 500} | ({} if family is None else {"family": family})
        for name, family in ((one, one_family), (other, other_family))
    }
    # what clears acetal before a press closes and goes between where no heat suits both; in no part
    between = {"lead_days": 2, "stock_kg": 500, "family": "PE-HD", "natural_colour": "natural", "stands_cold": True}
    if case.place == "dryer":
        for resin in resins.values():
            resin |= {"dryer": "d1", "drying_hours": 2, "drying_c": 80, "dryer_kg": 100}
    barrel = {"holdup_kg": 0.3, "shot_max_g": 120, "holds": f"{one}/grey"}
    presses = {"a": {"barrels": [dict(barrel)], "clamp_kn": 500}}
    tools = {
        "first": {"cavities": {"cup": 2}, "cycle_s": 30, "presses": ["a"], "clamp_kn": 100},
        "second": {"cavities": {"lid": 2}, "cycle_s": 30, "presses": ["a"], "clamp_kn": 100},
    }
    parts = {"cup": {"barrels": [{"resin": one, "mass_g": 20}]}, "lid": {"barrels": [{"resin": other, "mass_g": 9}]}}
    colours = {"cup": ["grey"], "lid": ["grey"]}
    if case.place in ("two presses", "dryer"):
        presses["b"] = {"barrels": [barrel | {"holds": f"{other}/grey"}], "clamp_kn": 500}
        for tool in tools.values():
            tool["presses"] = ["a", "b"]
    elif case.place == "first content":
        presses["a"]["barrels"][0]["holds"] = f"{other}/grey"  # type: ignore[index]
        parts["lid"]["barrels"][0]["resin"] = one
    elif case.place == "two-shot":
        presses["a"]["barrels"].append(barrel | {"holds": f"{other}/grey"})  # type: ignore[attr-defined]
        parts["cup"]["barrels"].append({"resin": other, "mass_g": 5})
        colours["cup"].append("grey")
    return {
        "name": "spellings", "start": "2027-01-11T06:00", "presses": presses, "tools": tools,
        "resins": resins | {"pe-natural": between},
        "colours": {"grey": {"hex": "#808080", "stock_kg": 50}, "natural": {"hex": "#e8e4da", "stock_kg": 1}},
        "parts": parts,
        "products": {"box": {"parts": {"cup": 1, "lid": 1}, "colourways": {"grey": colours}}},
        "tiers": {"one": {"units": {"box": 1}}},
        "orders": [{"tier": "one", "units": {"box": ["grey"]}, "count": 40}],
        "planning": {"rounds": 1},
    }  # fmt: skip


def meet(case: Case, plan: RunPlan) -> bool:
    """Whether the plan brings the two resins together, by what they are and not by what is written."""
    data = campaign(case)
    pair = {case.one[0], case.other[0]}
    there: dict[object, set[str]] = {}
    for name, press in data["presses"].items():
        for k, barrel in enumerate(press["barrels"]):
            there[name, k] = {barrel["holds"].split("/")[0]}
    for run in plan.runs:
        resins = [melt.split("/")[0] for melt in run.melts]
        if pair <= set(resins):
            return True
        for k, resin in enumerate(resins):
            there[run.press, k].add(resin)
            if dryer := data["resins"][resin].get("dryer"):
                there.setdefault(dryer, set()).add(resin)
    return any(pair <= found for name, found in there.items() if any(r.press in (name, *_of(name)) for r in plan.runs))


def _of(name: object) -> tuple[object, ...]:
    return (name[0],) if isinstance(name, tuple) else ()


def planned(case: Case) -> RunPlan | None:
    """The plan, or None where it is refused."""
    try:
        return make_plan(read(campaign(case)), Unhurried())
    except PlannerError:
        return None


def main(number: int) -> None:
    """Print both counts."""
    made = [(case, plan) for case in dangerous(number) if (plan := planned(case)) is not None]
    together = [case for case, plan in made if meet(case, plan)]
    print(f"dangerous: {number} written, {len(made)} planned apart, {len(together)} with a forbidden pair together")
    for case in together:
        print("   ", case)
    refused = [case for case in harmless(number) if planned(case) is None]
    print(f"harmless: {number} written, {number - len(refused)} planned ({(number - len(refused)) / number:.1%})")
    print("    refused:", ", ".join(sorted({repr(case.other[1]) for case in refused})))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
