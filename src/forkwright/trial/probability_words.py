"""Probabilities as they are told: never as a nought that they are not."""

from __future__ import annotations

SMALLEST_TOLD = 0.001


def p_words(p_value: float) -> str:
    """Return a p value (dimensionless) as it stands in a sentence.

    Examples
    --------
    >>> p_words(0.02775), p_words(0.00004), p_words(0.0)
    ('p = 0.0278', 'p < 0.001', 'p < 0.001')
    """
    return f"p < {SMALLEST_TOLD:g}" if p_value < SMALLEST_TOLD else f"p = {p_value:.4f}"


def belief_words(belief: float) -> str:
    """Return a degree of belief (dimensionless, 0 to 1) in per cent; certainty is never told.

    Examples
    --------
    >>> belief_words(0.934), belief_words(0.9999), belief_words(0.0002)
    ('93%', 'over 99%', 'under 1%')
    """
    if belief > 0.995:
        return "over 99%"
    return "under 1%" if belief < 0.005 else f"{belief:.0%}"
