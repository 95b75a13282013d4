"""The orders in which options may be ridden, and how they are dealt out so that learning and fatigue cancel.

Options are whole numbers 0, 1, ... here; `plan` puts labels to them.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from forkwright.trial.draws import Draws

Order = tuple[int, ...]

#: Triangle test: two runs are alike, one is odd; the six orders of ISO 4120.
TRIANGLE_ORDERS: tuple[Order, ...] = ((0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1))

#: Duo-trio test: the first run is the named reference, one of the next two is the same (ISO 10399).
DUO_TRIO_ORDERS: tuple[Order, ...] = ((0, 0, 1), (0, 1, 0), (1, 0, 1), (1, 1, 0))


def pair_orders(options: int) -> list[tuple[Order, ...]]:
    """Return every pair of the options, each with its two orders.

    Parameters
    ----------
    options : int
        How many options are compared, dimensionless.

    Examples
    --------
    >>> pair_orders(2)
    [((0, 1), (1, 0))]
    """
    return [((first, second), (second, first)) for first, second in combinations(range(options), 2)]


def williams(options: int) -> list[list[Order]]:
    """Return Latin squares in which each option follows each other option equally often.

    Parameters
    ----------
    options : int
        How many options are compared, dimensionless, 2 or more.

    Returns
    -------
    list of list of tuple
        One square for an even number of options, two (the second the mirror of the first) for an odd one.
        In each square every option stands once in every row and once in every column.

    Source
    ------
    Williams, E. J. (1949), "Experimental designs balanced for the estimation of residual effects of
    treatments", Australian Journal of Scientific Research A 2, 149-168: first row 0, 1, n-1, 2, n-2, ...,
    the other rows by adding 1 modulo n (construction from memory; the balance itself is tested).

    Examples
    --------
    >>> williams(4)[0][0]
    (0, 1, 3, 2)
    """
    first = [0] + [(step + 1) // 2 if step % 2 else options - step // 2 for step in range(1, options)]
    square: list[Order] = [tuple((place + add) % options for place in first) for add in range(options)]
    if options % 2 == 0:
        return [square]
    return [square, [row[::-1] for row in square]]


def dealt_evenly(
    squares: Sequence[Sequence[Order]], riders: int, each: int, draws: Draws
) -> list[list[Order]]:
    """Deal orders to riders so that every order is used equally often, or as nearly as the number allows.

    Parameters
    ----------
    squares : sequence of sequences of tuple
        The orders, in groups that are each balanced in themselves (the squares of `williams`).
    riders, each : int
        How many riders there are and how many orders each of them gets, dimensionless.
    draws : Draws
        Where the randomness comes from.

    Returns
    -------
    list of list of tuple
        For each rider, the orders in the sequence they are ridden. Over all riders, and within each rider,
        any two orders are used equally often or one time apart; the sequence within a rider is random, so
        that no one can guess the next order from the last.
    """
    deck = [order for square in squares for order in draws.shuffled(square)]
    size, left_over = len(deck), each % len(deck)
    dealt: list[list[Order]] = []
    for rider in range(riders):
        start = rider * left_over if left_over else rider
        hand = [deck[(start + place) % size] for place in range(each)]
        dealt.append(draws.shuffled(hand))
    return draws.shuffled(dealt)
