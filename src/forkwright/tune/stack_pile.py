"""The stacks that a drawer of shims allows in one valve, and the order in which they are tried."""

from __future__ import annotations

import random
from collections.abc import Iterator

from forkwright.hardware.discs import Disc
from forkwright.hardware.drawer import Drawer
from forkwright.hardware.valves import Valve

Counts = tuple[int, ...]
"""How many of each size in the drawer a stack uses."""


class Pile:
    """The drawer sorted for one valve: which stacks can be built from it."""

    def __init__(self, drawer: Drawer, table: Valve, most_discs: int) -> None:
        assert table.clamp is not None
        assert table.seat is not None
        assert table.load is not None
        self.clamp = table.clamp.si
        self.cover = max(table.seat.si, table.load.outer.si)
        usable = [disc for disc in drawer.shims if disc.outer_diameter.si > self.clamp * (1 + 1e-9)]
        self.sizes = sorted(usable, key=lambda disc: (-disc.outer_diameter.si, -disc.thickness.si))
        self.covering = sum(disc.outer_diameter.si >= self.cover * (1 - 1e-9) for disc in self.sizes)
        self.most, self.room = most_discs, float("inf") if table.room is None else table.room.si
        self.rules = (
            "diameters never grow from the valve face to the clamp",
            f"the first shim covers seat and port ({self.cover * 1e3:g} mm or more), every shim is larger "
            f"than the clamp ({self.clamp * 1e3:g} mm)",
            f"at most {most_discs} shims"
            + ("" if table.room is None else f" and {self.room * 1e3:g} mm in all"),
        )

    def possible(self) -> int:
        """Count the stacks that can be built, without building them (room is not counted out)."""
        with_cover = _ways([disc.count for disc in self.sizes], self.most)
        without = _ways([disc.count for disc in self.sizes[self.covering :]], self.most)
        return with_cover - without

    def every(self) -> Iterator[Counts]:
        """Yield every stack once."""

        def grow(place: int, left: int, chosen: list[int]) -> Iterator[Counts]:
            if place == len(self.sizes):
                if any(chosen[: self.covering]):
                    yield tuple(chosen)
                return
            for number in range(min(self.sizes[place].count, left) + 1):
                yield from grow(place + 1, left - number, [*chosen, number])

        yield from grow(0, self.most, [])

    def discs(self, counts: Counts) -> tuple[Disc, ...]:
        """Return a stack as the file would hold it."""
        return tuple(
            disc.model_copy(update={"count": number})
            for disc, number in zip(self.sizes, counts, strict=True)
            if number
        )

    def allowed(self, counts: Counts) -> bool:
        """Tell whether a choice is one of the possible stacks."""
        return (
            any(counts[: self.covering])
            and sum(counts) <= self.most
            and all(0 <= n <= disc.count for n, disc in zip(counts, self.sizes, strict=True))
        )

    def chance(self, dice: random.Random) -> Counts:
        """Return some possible stack."""
        while True:
            counts = [0] * len(self.sizes)
            for _ in range(dice.randint(1, self.most)):
                place = dice.randrange(len(self.sizes))
                counts[place] += counts[place] < self.sizes[place].count
            counts[dice.randrange(self.covering)] |= not any(counts[: self.covering])
            if self.allowed(tuple(counts)):
                return tuple(counts)


def improving(pile: Pile, errors: dict[Counts, float], budget: int, dice: random.Random) -> Iterator[Counts]:
    """Yield stacks to try: some at random, then the neighbours of the best known, over and over."""
    for _ in range(budget // 4):
        counts = pile.chance(dice)
        if counts not in errors:
            yield counts
    opened: set[Counts] = set()
    while len(errors) < budget:
        closed = [counts for counts in errors if counts not in opened]
        best = min(closed, key=errors.__getitem__) if closed else pile.chance(dice)
        opened.add(best)
        if best not in errors:
            yield best
        for counts in _neighbours(pile, best):
            if counts not in errors and len(errors) < budget:
                yield counts


def _neighbours(pile: Pile, counts: Counts) -> Iterator[Counts]:
    """Yield the stacks that are one shim more, one less, or one exchanged."""
    size = len(counts)
    for add in range(-1, size):
        for drop in range(-1, size):
            if add == drop:
                continue
            new = list(counts)
            if add >= 0:
                new[add] += 1
            if drop >= 0:
                new[drop] -= 1
            if pile.allowed(tuple(new)):
                yield tuple(new)


def _ways(counts: list[int], most: int) -> int:
    """Number of ways to take up to `most` things from kinds with these counts."""
    ways = [1] + [0] * most
    for count in counts:
        ways = [sum(ways[max(0, n - count) : n + 1]) for n in range(most + 1)]
    return sum(ways)
