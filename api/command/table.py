"""The one table of commands, `commands.txt`: the script `./run` reads it too, before anything is installed."""

import sys
from dataclasses import dataclass
from pathlib import Path

TABLE = Path(__file__).with_name("commands.txt")


@dataclass(frozen=True)
class Row:
    """One command. arguments and says: as the help shows them."""

    name: str
    arguments: str
    says: str


def rows() -> list[Row]:
    """Every command, in the table's order."""
    lines = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    return [Row(*(cell.strip() for cell in line.split("|"))) for line in lines]


def called() -> str:
    """How to call the command again: `shot-to-ship` where it is installed, `./run` in a checkout."""
    name = Path(sys.argv[0]).name
    return name if name == "shot-to-ship" else "./run"
