"""Slips and what-ifs: variants of a campaign, what a slip does to whom, and the levers that would help."""
