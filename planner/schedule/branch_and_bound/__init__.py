"""Small campaigns gone through plan by plan, branches cut off by what they cannot undercut.

`exact` leads: `symmetry` tells lots apart that are not interchangeable, `tables` lays out what every branch needs,
`branching` goes through the orders of runs in order of time (`records`, `path_state`) and cuts by `path_bounds`,
`capacity_bounds`, `lagrangian` and `deadlines`; where the presses are settled, `pickup_assignment` asks
`joint_feasibility` which batches can leave with a pick-up.
"""
