"""What a day costs in kilograms: plans that trade purge and start-up waste against the last dispatch.

Rates of exchange -> a plan for each, made like any other -> the plans that no other beats in both.
"""
