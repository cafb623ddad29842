"""Inspection of moulded lots: which sample, which verdict, how sharp the plan is, how many minutes."""
