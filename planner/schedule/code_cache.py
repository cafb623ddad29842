"""Where compiled code is kept between runs: by what the sources say that it was made from.

Numba renews a function's cached code when that function's own file changes, but not when a file it reads constants or
functions from does: after an update, old code would go on with new tables. So the folder of a file's code is named by a
hash of that file and of all files of ours that it imports, directly or through others. An edit compiles anew what it
can change and nothing else; states of the sources lie beside each other. And Numba names the folder of a file by the
file's whole path, so that a moved or copied checkout would compile everything again: ours are named by their place in
the package.

What is kept is read without what building it needs: Numba makes all its types and rules ready first, for which it loads
a library of linear algebra, and two thirds of a second and 30 MB go by in every process. Compiled code asks for none of
it; who builds has them made ready, as ever.
"""

import hashlib
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

from numba.core import caching, config

SOURCES = Path(__file__).parent

OWN = Path(__file__).resolve()
ROOT = SOURCES.parents[1].resolve()
"""Holds the package."""

NUMBAS_OWN = ("UserProvidedCacheLocator", "InTreeCacheLocator", "UserWideCacheLocator")
"""What Numba asks, in this order, where no setting names other ways."""


class PlaceInThePackage(caching.UserProvidedCacheLocator):
    """Keeps code by the file's place below `planner/schedule` and what it is made from; files from elsewhere are left
    to Numba's own ways."""

    @classmethod
    def get_suitable_cache_subpath(cls, py_file: str) -> str:
        path = Path(py_file).resolve()
        place = path.relative_to(SOURCES.resolve()).with_suffix("").parts
        return "_".join([*place, made_from(path)])

    @classmethod
    def from_function(cls, py_func: object, py_file: str) -> object:
        ours = Path(py_file).resolve().is_relative_to(SOURCES.resolve())
        return super().from_function(py_func, py_file) if ours else None  # type: ignore[no-untyped-call]


def made_from(source: Path) -> str:
    """A hash of the file and of every file of this package that it imports, directly or through others; not of this
    one, of which nothing is compiled."""
    found, left = {source}, [source]
    while left:
        for path in _imported(left.pop()):
            if path not in found and path != OWN:
                found.add(path)
                left.append(path)
    digest = hashlib.sha256()
    for path in sorted(found):
        digest.update(path.relative_to(ROOT).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


@lru_cache(maxsize=1024)
def _imported(source: Path) -> tuple[Path, ...]:
    """Files of this package that the file names in its imports, wherever in it they stand."""
    package = source.relative_to(ROOT).parent.parts
    named = {".".join(names) for names in _named(source, package)}
    files = (ROOT.joinpath(*name.split(".")) for name in sorted(named) if name.split(".")[0] == package[0])
    return tuple(path for file in files for path in (file.with_suffix(".py"), file / "__init__.py") if path.is_file())


_COMMENT = re.compile(r"#[^\n]*|\\\n")
"""A comment, or the end of a line that goes on."""
_IMPORT = re.compile(r"(?:^|[:;])[ \t]*(?:from[ \t]+(\.*)([\w.]*)[ \t]+)?import[ \t]*(\([^)]*\)|[^\n;]*)", re.MULTILINE)


def _named(source: Path, package: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Modules that may be meant: what stands after `from`, and each name taken from it, which may be one too.

    Found by their letters: parsing every file of ours took a third of a second in each process. What looks like an
    import inside a text counts as one: then code is built anew once too often.
    """
    text = _COMMENT.sub(" ", source.read_text(encoding="utf-8"))
    for dots, module, taken in _IMPORT.findall(text):
        names = [words.split()[0].split(".") for words in taken.strip("()").split(",") if words.split()]
        near = package[: len(package) - len(dots) + 1] if dots else ()
        place = (*near, *(module.split(".") if module else ()))
        if place:
            yield place
        yield from ((*place, *name) for name in names)


class Kept(caching.FunctionCache):
    """Reads what is kept without making ready what builds. Where a release of Numba has other names, as Numba does."""

    def load_overload(self, sig: object, target_context: object) -> object:
        of: Any = super()
        if not hasattr(of, "_load_overload"):
            return of.load_overload(sig, target_context)
        found = of._load_overload(sig, target_context)
        if found is not None:
            _let_go(found.library)
        return found


def _let_go(library: Any) -> None:
    """Beside machine code, what is kept holds the function as LLVM's language has it, for others to link: nobody links
    an entry, and of all of them it takes 24 MB."""
    linked = getattr(library, "_shared_module", None)
    if linked is not None:
        library._shared_module = None
        linked.close()


def keep_apart() -> None:
    """Have Numba keep code by what it is made from. Call before compiling."""
    if not getattr(config, "CACHE_DIR", ""):  # set by NUMBA_CACHE_DIR, else empty
        setattr(config, "CACHE_DIR", str(SOURCES / "__pycache__"))  # noqa: B010
    ours = f"{__name__}.{PlaceInThePackage.__name__}"
    named = [name for name in getattr(config, "CACHE_LOCATOR_CLASSES", "").split(",") if name.strip() not in ("", ours)]
    setattr(config, "CACHE_LOCATOR_CLASSES", ",".join([ours, *(named or NUMBAS_OWN)]))  # noqa: B010


def anything_kept_of(source: str) -> bool:
    """Whether compiled code of a file below `planner/schedule` is kept, made from the sources as they are."""
    kept = Path(getattr(config, "CACHE_DIR", "")) / PlaceInThePackage.get_suitable_cache_subpath(str(SOURCES / source))
    return any(kept.glob("*.nbi"))


def compile_nothing() -> None:
    """Leave functions as they are written: they take hundreds of times as long and nothing is built. Call before any is
    imported."""
    setattr(config, "DISABLE_JIT", 1)  # noqa: B010
