"""The one error of the physics: an answer that nature would not give is refused with the reason."""

from __future__ import annotations


class Unphysical(ValueError):  # noqa: N818 - reads as the refusal it is
    """A question whose answer would be unphysical; the message gives the reason in plain words."""
