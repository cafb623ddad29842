"""Whole orders shared out so that every share is met as nearly as can be, line after line."""

from collections.abc import Mapping


class Sharing:
    """Hands out whole things by shares; what one line leaves over counts in the next."""

    def __init__(self, shares: Mapping[str, float]) -> None:
        """shares: what is to go to each name, 0 to 1."""
        self._shares = dict(sorted(shares.items()))
        self._owed = dict.fromkeys(self._shares, 0.0)

    def of(self, name: str, count: int, most: int) -> int:
        """What one name gets of `count` things and of what it is still owed, at most `most`."""
        self._owed[name] += count * self._shares[name]
        whole = min(most, max(0, int(self._owed[name] + 1e-9)))
        self._owed[name] -= whole
        return whole

    def all_of(self, count: int) -> dict[str, int]:
        """Share out all of `count` things; the shares must add up to 1."""
        given, left = {}, count
        for name in sorted(self._shares, key=lambda n: (-self._owed[n], n)):
            given[name] = self.of(name, count, left)
            left -= given[name]
        for _ in range(left):
            name = max(self._owed, key=lambda n: self._owed[n])
            self._owed[name] -= 1
            given[name] += 1
        return {name: whole for name, whole in given.items() if whole}
