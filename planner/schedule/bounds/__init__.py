"""Lower bounds, in money, on what any plan that RULES.md allows must cost: each relaxes something else.

Cost lines that no plan shares between two bounds are added: the presses' own work (`work`, `entries`, `press_model`)
and lateness (`earliest`, `buckets`). `lowest` puts the best of each together.
"""
