"""Where compiled code is kept between runs: a folder of its own for every state of the sources.

Numba renews a function's cached code when that function's own file changes, but not when a file it reads constants or
functions from does: after an update, old code would go on with new tables. A hash of all sources in the path settles
it. And Numba names the folder of a file by the file's whole path, so that a moved or copied checkout would compile
everything again: our files are named by their place in the package.
"""

import hashlib
from pathlib import Path

from numba.core import caching, config

SOURCES = Path(__file__).parent

NUMBAS_OWN = ("UserProvidedCacheLocator", "InTreeCacheLocator", "UserWideCacheLocator")
"""What Numba asks, in this order, where no setting names other ways."""


class PlaceInThePackage(caching.UserProvidedCacheLocator):
    """Keeps code by the file's place below `planner/schedule`; files from elsewhere are left to Numba's own ways."""

    @classmethod
    def get_suitable_cache_subpath(cls, py_file: str) -> str:
        return "_".join(Path(py_file).resolve().relative_to(SOURCES.resolve()).with_suffix("").parts)

    @classmethod
    def from_function(cls, py_func: object, py_file: str) -> object:
        ours = Path(py_file).resolve().is_relative_to(SOURCES.resolve())
        return super().from_function(py_func, py_file) if ours else None  # type: ignore[no-untyped-call]


def keep_apart() -> str:
    """Point Numba's cache at the folder of this state of the sources; the state's hash. Call before compiling."""
    digest = hashlib.sha256()
    for source in sorted(SOURCES.rglob("*.py")):
        digest.update(source.relative_to(SOURCES).as_posix().encode())
        digest.update(source.read_bytes())
    state = digest.hexdigest()[:16]
    kept = getattr(config, "CACHE_DIR", "")  # set by NUMBA_CACHE_DIR, else empty
    base = Path(kept) if kept else SOURCES / "__pycache__"
    if base.name != state:
        setattr(config, "CACHE_DIR", str(base / state))  # noqa: B010
    ours = f"{__name__}.{PlaceInThePackage.__name__}"
    named = [name for name in getattr(config, "CACHE_LOCATOR_CLASSES", "").split(",") if name.strip() not in ("", ours)]
    setattr(config, "CACHE_LOCATOR_CLASSES", ",".join([ours, *(named or NUMBAS_OWN)]))  # noqa: B010
    return state
