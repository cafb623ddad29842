"""Tools of one base, and the prices of a press: what makes no sense of them."""

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem


def check(campaign: Campaign) -> list[Problem]:
    """Inserts without a base, a base in two presses at once, and prices of parts that there are not."""
    problems = []
    at: dict[str, tuple[str, str]] = {}
    for name, tool in campaign.tools.items():
        if tool.insert_minutes is not None and tool.base is None:
            problems.append(
                Problem(
                    pointer("tools", name, "insert_minutes"),
                    f"tool `{name}` says how long its insert takes, and no base that it goes into",
                    "name its `base`, as the other tools of that base do, or take `insert_minutes` out",
                )
            )
    for name, press in campaign.presses.items():
        mounted = campaign.tools.get(press.tool or "")
        if mounted is not None and mounted.base is not None:
            if mounted.base in at:
                other, held = at[mounted.base]
                problems.append(
                    Problem(
                        pointer("presses", name, "tool"),
                        f"base `{mounted.base}` is in press `{other}` with tool `{held}` and in press `{name}` with "
                        f"`{press.tool}` at the start",
                        "say where it is; one base is in one press at a time",
                    )
                )
            at[mounted.base] = name, press.tool or ""
        for part in press.charges.a_piece if press.charges else {}:
            if part not in campaign.parts:
                problems.append(
                    Problem(
                        pointer("presses", name, "charges", "a_piece", part),
                        f"there is no part `{part}` to be charged for",
                        "name one of `parts`",
                    )
                )
        if press.draws_kw and not campaign.floor.price_per_kwh:
            problems.append(
                Problem(
                    pointer("presses", name, "draws_kw"),
                    f"press `{name}` draws {press.draws_kw:g} kW and nobody says what a kWh costs",
                    "say the floor's `price_per_kwh`, or take `draws_kw` out",
                )
            )
    return problems
