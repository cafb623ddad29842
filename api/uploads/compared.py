"""What a table of orders changes against the one before it: by order number, or by contents where there is none."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from api.uploads.known import order_key
from api.uploads.report import OrderLine, SetAside


@dataclass(frozen=True)
class OrderChange:
    """One order that is otherwise than before. what: in words."""

    ref: str
    what: str


@dataclass(frozen=True)
class OrderChanges:
    """added, gone: orders; changed: told one by one; same: orders that are as they were."""

    added: list[OrderChange]
    gone: list[OrderChange]
    changed: list[OrderChange]
    same: int

    @property
    def any(self) -> bool:
        """Whether anything is otherwise."""
        return bool(self.added or self.gone or self.changed)


def compared(before: Sequence[OrderLine], after: Sequence[OrderLine], aside: Sequence[SetAside]) -> OrderChanges:
    """What is new, gone and changed. aside: rows of the new table that are set aside: why an order is gone."""
    old, new = _by_ref(before), _by_ref(after)
    why = {order_key(one.cells["ref"]): f"set aside now: {one.reason}" for one in aside if one.cells.get("ref")}
    added = [OrderChange(line.ref, said(line)) for key, line in new.items() if key not in old]
    gone = [
        OrderChange(line.ref, why.get(key, "not in the table any more")) for key, line in old.items() if key not in new
    ]
    changed = []
    same = 0
    for key, line in new.items():
        told = "; ".join(_differences(old[key], line)) if key in old else ""
        if told:
            changed.append(OrderChange(line.ref, told))
        elif key in old:
            same += line.count
    before_counts, after_counts = _by_contents(before), _by_contents(after)
    words = {contents(line): said(replace(line, count=1)) for line in [*before, *after] if not line.ref}
    for what, number in sorted((after_counts - before_counts).items(), key=repr):
        added.append(OrderChange("", f"{number} more of {words[what]}"))
    for what, number in sorted((before_counts - after_counts).items(), key=repr):
        gone.append(OrderChange("", f"{number} fewer of {words[what]}"))
    return OrderChanges(added, gone, changed, same + (before_counts & after_counts).total())


def contents(line: OrderLine) -> tuple[object, ...]:
    """What an order is, without its number and its place in the table."""
    return line.tier, line.colourways, tuple(sorted(line.add_ons.items())), line.country, line.opens


def said(line: OrderLine) -> str:
    """What an order is, in words."""
    colours = ", ".join(colour or "not chosen" for colour in line.colourways)
    extras = "".join(f", {number} {name}" for name, number in sorted(line.add_ons.items()))
    opens = f", opens {line.opens.isoformat()}" if line.opens else ""
    times = f", {line.count} times" if line.count > 1 else ""
    return f"{line.tier} in {colours}{extras} to {line.country}{opens}{times}"


def _by_ref(lines: Sequence[OrderLine]) -> dict[str, OrderLine]:
    return {order_key(line.ref): line for line in lines if line.ref}


def _by_contents(lines: Sequence[OrderLine]) -> Counter[tuple[object, ...]]:
    counts: Counter[tuple[object, ...]] = Counter()
    for line in lines:
        if not line.ref:
            counts[contents(line)] += line.count
    return counts


def _differences(old: OrderLine, new: OrderLine) -> Iterator[str]:
    if old.tier != new.tier:
        yield f"{new.tier} instead of {old.tier}"
    if old.colourways != new.colourways:
        was, now = (", ".join(colour or "not chosen" for colour in one.colourways) for one in (old, new))
        yield f"{now} instead of {was}"
    if dict(old.add_ons) != dict(new.add_ons):
        was, now = (
            ", ".join(f"{number} {name}" for name, number in sorted(one.add_ons.items())) or "no add-ons"
            for one in (old, new)
        )
        yield f"{now} instead of {was}"
    if old.country != new.country:
        yield f"to {new.country} instead of {old.country}"
    if old.opens != new.opens:
        was, now = (f"opens {one.opens.isoformat()}" if one.opens else "can be packed at once" for one in (old, new))
        yield f"{now} instead of {was}"
    if old.count != new.count:
        yield f"{new.count} instead of {old.count}"
