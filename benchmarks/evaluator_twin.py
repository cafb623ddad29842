"""Whether the compiled evaluator and its plain twin agree, over as many random campaigns as are asked for.

    python -m benchmarks.evaluator_twin [blocks of twenty campaigns, default 50] [first block]

The tests look at five blocks. Ends with an assertion that names the seed where the two differ.
"""

import sys

from tests.planner.schedule.plain.campaigns import CAMPAIGNS_A_BLOCK, block_agrees


def main() -> None:
    blocks = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    for block in range(first, first + blocks):
        block_agrees(block)
        print(f"seeds {block * CAMPAIGNS_A_BLOCK} to {(block + 1) * CAMPAIGNS_A_BLOCK - 1} agree", flush=True)


if __name__ == "__main__":
    main()
