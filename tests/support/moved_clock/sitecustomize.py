"""Python reads this at its start where its folder is first on the path: the wall clock is off by so many seconds, as
where somebody moved it; the monotonic one is not."""

import os
import time

_true, _off = time.time, float(os.environ.get("WALL_CLOCK_OFF", "0"))
time.time = lambda: _true() + _off
