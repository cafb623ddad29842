"""How long a press goes on when the people have left."""

from fractions import Fraction
from math import ceil

from planner.campaign.document import Campaign


def lights_out_seconds(campaign: Campaign, press: str) -> int:
    """How long a press may mould on alone: its hours, or until the fastest of its tools has filled the bin."""
    machine = campaign.presses[press]
    if campaign.floor.attended is None or machine.lights_out is None:
        return 0
    seconds = ceil(Fraction(str(machine.lights_out.hours)) * 3600)
    cycles = [tool.cycle_s for tool in campaign.tools.values() if press in tool.presses]
    if machine.lights_out.bin_shots is not None and cycles:
        shot = Fraction(str(min(cycles))) / Fraction(str(machine.efficiency))
        seconds = min(seconds, int(shot * machine.lights_out.bin_shots))
    return seconds
