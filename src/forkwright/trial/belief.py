"""An option beside the tests: what to believe after the answers, starting from what was believed before."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Belief:
    """A belief about the chance of a right (or preferring) answer; all fields are dimensionless.

    It is a beta distribution with counts `right` and `wrong`, cut off below `floor`: whoever cannot tell
    still guesses right that often, so a chance below it makes no sense in a test of difference.
    """

    right: float = 1.0
    wrong: float = 1.0
    floor: float = 0.0

    def after(self, right: int, wrong: int) -> Belief:
        """Return the belief after more answers (dimensionless counts); it may be carried to the next day.

        Source
        ------
        Bayes' rule; the beta distribution stays one when binomial answers are counted in.

        Examples
        --------
        >>> Belief().after(7, 3)
        Belief(right=8.0, wrong=4.0, floor=0.0)
        """
        return Belief(self.right + right, self.wrong + wrong, self.floor)

    def chance_above(self, share: float) -> float:
        """Return the probability that the true chance is above `share`, dimensionless."""
        from scipy.special import betainc, betaincc

        if share <= self.floor:
            return 1.0
        if self.floor <= 0:
            return float(betaincc(self.right, self.wrong, share))
        kept = float(betaincc(self.right, self.wrong, self.floor))
        if kept < 1e-300:  # all answers far below guessing: the belief sits at the floor
            return 0.0
        return float(min(1.0, max(0.0, (1.0 - float(betainc(self.right, self.wrong, share))) / kept)))

    def quantile(self, share_below: float) -> float:
        """Return the chance below which `share_below` of the belief lies, dimensionless."""
        from scipy.special import betainc, betaincinv

        cut = float(betainc(self.right, self.wrong, self.floor)) if self.floor > 0 else 0.0
        value = float(betaincinv(self.right, self.wrong, cut + share_below * (1.0 - cut)))
        return min(1.0, max(self.floor, value))

    def interval(self, probability: float = 0.95) -> tuple[float, float]:
        """Return the middle `probability` of the belief as (low, high), dimensionless."""
        tail = (1 - probability) / 2
        return self.quantile(tail), self.quantile(1 - tail)


@dataclass(frozen=True)
class MeanBelief:
    """A belief about a mean difference from a flat start: Student's t around what was seen.

    `mean` and `error` (standard error of the mean) are in points or seconds; `freedom` is dimensionless.
    """

    mean: float
    error: float
    freedom: int

    def chance_above(self, difference: float) -> float:
        """Return the probability (dimensionless) that the true mean is above `difference` (points, seconds).

        Source
        ------
        Normal errors, flat prior on the mean and on the logarithm of the spread: Gelman et al., Bayesian
        Data Analysis, 3rd ed., section 3.2 (from memory).
        """
        from scipy.stats import t

        if self.error <= 0 or self.freedom < 1:
            return 1.0 if self.mean > difference else 0.0
        return float(t.sf((difference - self.mean) / self.error, self.freedom))
