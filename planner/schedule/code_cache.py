"""Where compiled code is kept between runs: a folder of its own for every state of the sources.

Numba renews a function's cached code when that function's own file changes, but not when a file it reads constants or
functions from does: after an update, old code would go on with new tables. A hash of all sources in the path settles
it.
"""

import hashlib
from pathlib import Path

from numba.core import config


def keep_apart() -> str:
    """Point Numba's cache at the folder of this state of the sources; the state's hash. Call before compiling."""
    here = Path(__file__).parent
    digest = hashlib.sha256()
    for source in sorted(here.rglob("*.py")):
        digest.update(source.relative_to(here).as_posix().encode())
        digest.update(source.read_bytes())
    state = digest.hexdigest()[:16]
    kept = getattr(config, "CACHE_DIR", "")  # set by NUMBA_CACHE_DIR, else empty
    base = Path(kept) if kept else here / "__pycache__"
    if base.name != state:
        setattr(config, "CACHE_DIR", str(base / state))  # noqa: B010
    return state
