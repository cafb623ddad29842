"""Whether this worker was asked to end: told to its children, which were forked from it, through a byte they share."""

import mmap


class Leaving:
    """Made before the children are forked. Asking is quick and safe in a signal handler."""

    def __init__(self) -> None:
        self._asked = mmap.mmap(-1, 1)

    def ask(self) -> None:
        """What is being worked on is to be given back soon."""
        self._asked[0] = 1

    def asked(self) -> bool:
        return self._asked[0] != 0


STAYING = Leaving()
"""Of work that nobody asks to end early."""
