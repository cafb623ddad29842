"""How many nodes a proof may look at: by the rounds of the search beside it, and never more than so many."""

from types import SimpleNamespace

import pytest

from planner.schedule.search import MOST_NODES, NODES_A_ROUND, Budget, _Search


@pytest.mark.parametrize(
    ("rounds", "nodes"),
    [
        (None, MOST_NODES),
        (0, 0),
        (1, NODES_A_ROUND),
        (3, 3 * NODES_A_ROUND),
        (MOST_NODES // NODES_A_ROUND + 1, MOST_NODES),
    ],
)
def test_nodes_go_by_rounds(rounds, nodes):
    """So that a search by rounds gives the same plan on any machine."""
    searching = SimpleNamespace(budget=Budget(rounds, 1, 0.0))
    assert _Search._most_nodes(searching) == nodes
