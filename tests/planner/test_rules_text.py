"""The text of the rules: each has a number of its own, and what cites one cites one that is there."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RULES = (ROOT / "planner" / "RULES.md").read_text(encoding="utf-8")
NUMBER = re.compile(r"^(?:- |  )\*\*([A-Z]\d+(?:\.\d+)?)\*\* ", re.MULTILINE)
CITED = re.compile(r"RULES\.md,? ([A-Z]\d+(?:\.\d+)?)\b(?: to ([A-Z]\d+)\b)?")


def test_every_rule_has_a_number_of_its_section_and_none_has_two():
    """A rule without one: give it the section's next; a number given once is never given to another."""
    numbers = NUMBER.findall(RULES)
    assert len(numbers) == len(set(numbers)) > 40
    without = [line for line in RULES.splitlines() if line.startswith("- ") and not NUMBER.match(line)]
    assert without == [], "give it the next number of its section"
    section = ""
    for line in RULES.splitlines():
        if line.startswith("## "):
            section = line[3]
        elif found := NUMBER.match(line):
            assert found[1][0] == section, line[:60]


def test_what_is_cited_is_there():
    """In code, auditor, tests and documents."""
    known = set(NUMBER.findall(RULES))
    here = Path(__file__)
    sources = [path for layer in ("planner", "worker", "api", "tests") for path in (ROOT / layer).rglob("*.py")]
    cited = {
        number
        for path in sources
        if path != here
        for found in CITED.findall(path.read_text(encoding="utf-8"))
        for number in found
        if number
    }
    assert len(cited) >= 8
    assert cited - known == set()
