"""Lower bounds on what any plan must cost."""
