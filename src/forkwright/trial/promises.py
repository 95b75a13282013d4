"""What a plan promises before the first run, and what it warns of."""

from __future__ import annotations

from forkwright.trial.power import riders_are_units
from forkwright.trial.request import Request
from forkwright.trial.sizing import Size, alternative_of


def rules_of(request: Request, size: Size) -> tuple[str, ...]:
    """Return what is laid down before the first run: question, test, what counts, what is corrected."""
    pairs = len(request.options) * (len(request.options) - 1) // 2
    main = {
        "paired": "exact binomial test of each pair's preferences",
        "triangle": "exact one-sided binomial test against guessing one in three",
        "duo-trio": "exact one-sided binomial test against guessing one in two",
        "ranked": "Friedman's test, then exact sign tests of each pair",
        "rated": f"exact sign-change test of the differences in {request.primary}",
    }[request.design]
    rules = [
        f"Main question: {request.question}",
        f"Main test: {main}, {alternative_of(request)}, risk accepted {request.aim.alpha:g}.",
        "An answer counts if the mechanic ticked every mask for all its runs, before the blind was broken "
        "and before the records were closed. What does not count is listed.",
        f"Anything else measured is looked at afterwards, with p values corrected ({request.control}).",
    ]
    if pairs > 1:
        rules.insert(2, f"{pairs} pairs: p values corrected by Holm's method.")
    if request.design == "rated":
        riders = riders_are_units(size.riders, size.alpha_each)
        rules.insert(2, f"What is counted: {'riders, by their means' if riders else 'blocks of runs'}.")
    return tuple(rules)


def warnings_of(request: Request, size: Size, days: int) -> tuple[str, ...]:
    """Return what the leader should know of a plan that takes so many days (dimensionless)."""
    warnings = []
    if request.alternative == "greater" and alternative_of(request) != "greater":
        warnings.append(
            f"one-sided was asked for, which only a paired trial can be: this {request.design} one is tested "
            "two-sided"
        )
    if size.power < request.aim.power:
        warnings.append(
            f"power {size.power:.2f} instead of {request.aim.power:.2f}: with {size.answers} answers the "
            "difference worth finding may well be missed"
        )
    if size.riders < 6 and size.repeats > 1:
        warnings.append(
            f"{size.answers} answers from {size.riders} rider(s): the result holds for them; one rider "
            "repeating n times is not n assessors"
        )
    rounds = _orders_in(request)
    if (size.riders * size.repeats) % rounds:
        more = -(size.riders * size.repeats) % rounds
        warnings.append(
            f"{size.riders * size.repeats} sessions are not a multiple of the {rounds} orders: they are used "
            f"equally often but for one ({more} more would balance them)"
        )
    if days > 3:
        warnings.append(f"{days} days: weather and surface will change; more riders would shorten it")
    by_hand = [option.label for option in request.options if option.checked_by_hand]
    if by_hand:
        warnings.append(f"limits checked by hand, not computed: {', '.join(by_hand)}")
    return tuple(warnings)


def _orders_in(request: Request) -> int:
    options = len(request.options)
    fixed = {"paired": 2, "triangle": 6, "duo-trio": 4}
    return fixed.get(request.design, options if options % 2 == 0 else 2 * options)
