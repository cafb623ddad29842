"""A worker's arguments: which queues it takes from, and none that nobody fills."""

import pytest

from worker.queue.broker import QUEUES
from worker.start import options


@pytest.mark.parametrize("queues", [",".join(QUEUES), *QUEUES])
def test_known_queues_are_taken_as_written(queues):
    assert options().parse_args(["--queues", queues]).queues == queues


def test_without_arguments_it_takes_from_all():
    given = options().parse_args([])
    assert (given.queues, given.name) == (",".join(QUEUES), "worker")


@pytest.mark.parametrize("queues", ["huge", f"{QUEUES[0]},huge", f"{QUEUES[0]}, huge", ""])
def test_a_queue_nobody_fills_stops_the_start(queues, capsys):
    """A worker that waits for ever would look well; it is told which queues there are."""
    with pytest.raises(SystemExit):
        options().parse_args(["--queues", queues])
    said = capsys.readouterr().err
    assert "no such queue" in said
    assert f"there are {', '.join(QUEUES)}" in said
