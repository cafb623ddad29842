"""Small campaigns gone through plan by plan, branches cut off by what they cannot undercut.

`exact` leads: `kinds` tells lots apart that are not interchangeable, `ground` lays out what every branch needs,
`branching` goes through the orders of runs in order of time (`branch_arrays`, `branch_state`) and cuts by
`branch_bounds`, `branch_crowds`, `branch_prices` and `deadlines`; where the presses are settled, `service` asks
`together` which batches can leave with a pick-up.
"""
