"""What each audited rule asks for, in a line."""

RULES = {
    "A1": "every tool fits its press",
    "A2": "nothing overlaps on a press; a tool is in one press at a time",
    "A3": "tools and dried material are there before a run starts",
    "A4": "working time adds up, to the second",
    "A5": "every changeover has the mount, purge and start-up it asks for",
    "A6": "forbidden resins never meet",
    "A7": "enough good parts, as surely as asked for",
    "A8": "no part or piece is used before it is there",
    "A9": "never more bench work or changeovers than people",
    "A10": "every order in exactly one parcel, batch and pick-up",
    "A11": "kilograms reconcile",
    "A12": "cost lines add to the total; the bound is not above it",
    "A13": "the average is that of the scenarios shown",
    "A14": "wishes are kept or refused as the plan says",
}
"""By rule, A1 to A14."""
