"""The schedule: who runs where in what order, searched, proven and timed."""
