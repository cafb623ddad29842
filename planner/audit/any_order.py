"""What costs the same in any order of work (RULES.md, M4)."""

IN_ANY_ORDER = (
    "moulded material", "bought-in pieces", "finishing labour", "finishing by the piece", "carriage",
    "assembly labour", "packing labour", "postage", "extra postage",
)  # fmt: skip
"""Cost lines that no order of work changes."""
