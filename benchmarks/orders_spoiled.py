"""Spoiled order files by kind: how many were read, how many refused whole, good rows taken of those there were; what
the slowest took of the clock, the dearest of processor time; memory before, and after each kind.

    python -m benchmarks.orders_spoiled [files of each kind]

Files are made from seeds, as in the tests.
"""

import sys
import time

import psutil

from tests.api.uploads.spoiled_files import KINDS, taken


def main() -> None:
    each = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    print(f"{'kind':24} files  read  refused  good rows taken    of  slowest ms  dearest ms  MiB")
    process = psutil.Process()
    print(f"{'before':88} {process.memory_info().rss / 2**20:4.0f}")
    for kind in KINDS:
        read = refused = got = of = 0
        slowest = dearest = 0.0
        for seed in range(each):
            spoiled = kind(seed)
            start, worked = time.perf_counter(), time.process_time()
            answer = taken(spoiled)
            slowest = max(slowest, time.perf_counter() - start)
            dearest = max(dearest, time.process_time() - worked)
            read += isinstance(answer, list)
            refused += isinstance(answer, str)
            if spoiled.untouched is not None:
                of += len(spoiled.untouched)
                got += len(spoiled.untouched & set(answer if isinstance(answer, list) else []))
        print(
            f"{kind.__name__:24} {each:5} {read:5} {refused:8} {got:16} {of:5} {1000 * slowest:11.0f}"
            f"{1000 * dearest:12.0f} {process.memory_info().rss / 2**20:4.0f}"
        )


if __name__ == "__main__":
    main()
