"""Records read the same by their names in compiled code and in Python."""

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier
from typing import Any, NamedTuple

import numba
import numpy as np
import pytest

from planner.schedule import packed
from planner.schedule.instance import Bools, Floats, Ints, fingerprint, packed_instance
from planner.schedule.packed import pack, tidied
from planner.schedule.warm import smallest_instance


class Shelf(NamedTuple):
    """A further record."""

    counts: Ints  # (3)
    price: float


class Shop(NamedTuple):
    """A field of each kind."""

    number: int
    kg: Floats  # (2, 3)
    open_: Bools  # (2)
    shelf: Shelf


def shop(number: int = 7, kg: Any = None) -> Shop:
    shelf = pack(Shelf(np.array([3, 1, 2]), 2.5))
    return Shop(number, np.arange(6.0).reshape(2, 3) if kg is None else kg, np.array([True, False]), shelf)


@numba.njit
def _read(shop: Any, row: int, column: int) -> Any:
    shop.shelf.counts[1] += 10
    return shop.number, shop.kg[row, column], shop.open_[1], shop.shelf.price, shop.shelf.counts.sum(), shop.kg.shape


def test_a_record_reads_the_same_on_both_sides_and_shares_its_arrays() -> None:
    plain = shop()
    packed = pack(plain)
    assert _read(packed, 1, 2) == (7, 5.0, False, 2.5, 16, (2, 3))
    assert plain.shelf.counts.tolist() == [3, 11, 2]
    packed.kg[0, 1] = 9.0
    assert _read(packed, 0, 1)[:2] == (packed.number, 9.0)
    assert _read(packed, -1, -1)[1] == 5.0
    assert len(_read.signatures) == 1
    assert _read(pack(shop(8, np.ones((5, 4)))), 4, 3)[:2] == (8, 1.0)
    assert len(_read.signatures) == 1, "other lengths are no other type"


SCRIPT = """
from typing import NamedTuple
import numpy as np
from planner.schedule.instance import Ints
from planner.schedule.jit import entry, told_of_building
from planner.schedule.packed import pack

class Shelf(NamedTuple):
    counts: Ints
    price: float

@entry
def first(shelf):
    return shelf.counts[0] * shelf.price

with told_of_building(lambda: print("built")):
    print(first(pack(Shelf(np.array([3, 1, 2]), 2.5))))
"""


def test_what_is_built_for_a_record_is_read_by_the_next_process(tmp_path: Path) -> None:
    """Hashes of texts differ from process to process; what is kept is found all the same."""
    script = tmp_path / "first.py"
    script.write_text(SCRIPT)
    said = []
    for seed in ("1", "2"):
        env = os.environ | {"NUMBA_CACHE_DIR": str(tmp_path), "PYTHONHASHSEED": seed}
        ran = subprocess.run([sys.executable, script], env=env, capture_output=True, text=True, check=True)
        said.append(ran.stdout.split())
    assert said == [["built", "7.5"], ["7.5"]]


def test_arrays_of_another_kind_are_refused_by_name() -> None:
    """Rather than read as what they are not, or built for once more."""
    pack(shop())
    with pytest.raises(TypeError, match=r"Shop.kg: int64"):
        pack(shop(kg=np.ones((2, 3), dtype=np.int64)))
    with pytest.raises(TypeError, match=r"Shop.kg: float64, not row by row"):
        pack(shop(kg=np.ones((3, 2)).T))
    with pytest.raises(TypeError, match=r"Shop.kg: 1 dimensions, elsewhere 2"):
        pack(shop(kg=np.ones(6)))
    with pytest.raises(AttributeError):
        _ = pack(shop()).nothing  # type: ignore[attr-defined]


class Crate(NamedTuple):
    """Of a class that nothing else packs."""

    kg: Floats  # (1)


def test_two_threads_may_pack_the_first_records_of_a_class_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both are about to put its type down; then and afterwards it is read as any other."""
    both, type_ = Barrier(2, timeout=60), packed._type

    def together(kind: Any, value: Any) -> Any:
        both.wait()
        return type_(kind, value)

    monkeypatch.setattr(packed, "_type", together)
    with ThreadPoolExecutor(2) as pool:
        made = list(pool.map(lambda kg: pack(Crate(np.array([kg]))), (1.0, 2.0)))
    made.append(pack(Crate(np.array([3.0]))))
    assert [one.kg[0] for one in made] == [1.0, 2.0, 3.0]
    assert len({numba.typeof(one) for one in made}) == 1


def test_what_is_only_read_is_tidied() -> None:
    """A campaign's arrays may be of other kinds: they are copied."""
    column = np.ones((3, 2), dtype=np.int32).T
    assert _read(pack(tidied(shop(kg=column))), 0, 0)[1] == 1.0
    inst = smallest_instance()
    assert packed_instance(inst._replace(restart_s=np.array([2], dtype=np.int32))).restart_s[0] == 2


def test_a_fingerprint_tells_campaigns_apart() -> None:
    inst = smallest_instance()
    assert fingerprint(inst) == fingerprint(smallest_instance())
    others = [
        inst._replace(fixed_cost=1.0), inst._replace(lot_shots=inst.lot_shots + 1), inst._replace(setters=2),
        inst._replace(fits=~inst.fits),
    ]  # fmt: skip
    assert len({fingerprint(other) for other in [inst, *others]}) == 5
