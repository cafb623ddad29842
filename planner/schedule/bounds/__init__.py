"""Lower bounds on what any plan that RULES.md allows must cost, waste, or take: each relaxes something else.

`lowest` puts the best of each together, cheap ones first; `beside` thinks in a thread of its own; `aim` says how near a
plan came to the bound of what it aims at. What each gained, in hundredths of the plan's cost (seeds 1 and 2 of a size
in `python -m benchmarks.schedule_bounds --seeds 2`), and its own seconds on 200 runs (L; two busy cores):

| bound | forgets | XS | S | M | L | s |
|---|---|---|---|---|---|---|
| press hours of shots (`work`) | order, dates | 91.5 84.1 | 88.2 87.2 | 88.1 89.7 | 88.8 90.1 | 0 |
| entries by assignment (`entries`) | paths, room, dates | 95.1 94.4 | 95.7 93.6 | 92.6 95.4 | 93.6 95.8 | 1.4 |
| by dates, linear (`buckets`) | wholes | 99.5 99.0 | 99.4 97.8 | 95.9 97.2 | 95.4 97.5 | 3.6 |
| by dates, in wholes, CP-SAT (`dated_paths`) | turns, service | 99.9 99.6 | 99.7 98.0 | - | - | - |
| order, CP-SAT (`press_model`) | dates, benches | 99.4 97.3 | 97.8 96.2 | no more | - | - |

Before all of them, what every plan pays: what whole bags leave over (`whole_bags`) and hot runners take
(`hot_runners`): 12 to 116 of a cost of 5,000 on five XS, 8 to 54 of 15,000 on S, 150 of 39,000 on M.

Beside it: lateness of each batch as if it were the only one (`earliest`); the last dispatch by benches, vans, press and
tool load (`finish`) and by order, CP-SAT (`press_finish`); waste by the same assignment in kilograms (`entries`) and by
order, CP-SAT (`press_model`). A model with arcs left out gives no bound, but for those that reduced costs show to be in
no plan cheaper than a known one: then it bounds all cheaper plans (`one_press`).
"""
