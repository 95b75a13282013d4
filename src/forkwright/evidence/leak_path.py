"""Which way the gas went: the leaks of several chambers held against every single path between them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from forkwright.evidence.leakdown import LeakRate
from forkwright.physics.values import Array
from forkwright.units import InputError

OUTSIDE = "outside"
# Seals that part two spaces; gas can only pass where there is one.
PATHS: tuple[tuple[str, str], ...] = (
    ("positive", OUTSIDE),
    ("negative", OUTSIDE),
    ("positive", "negative"),
    ("negative", "positive"),
    ("positive", "lower_leg"),
    ("negative", "lower_leg"),
    ("lower_leg", OUTSIDE),
    ("floating", "positive"),
    ("floating", OUTSIDE),
)
# What to look at for each path (common practice, no source).
PLACES: dict[tuple[str, str], str] = {
    ("positive", OUTSIDE): "the valve core and the top cap's seal",
    ("negative", OUTSIDE): "the negative chamber's own valve",
    ("positive", "negative"): "the air piston's seal",
    ("negative", "positive"): "the air piston's seal",
    ("positive", "lower_leg"): "the chamber's lower seals",
    ("negative", "lower_leg"): "the seal head and the air shaft",
    ("lower_leg", OUTSIDE): "the wiper seals and the foot bolts (a vented leg is meant to lose air)",
    ("floating", "positive"): "the floating piston's seal",
    ("floating", OUTSIDE): "the floating chamber's valve",
}


@dataclass(frozen=True)
class PathVerdict:
    """How well one path alone explains the readings.

    Parameters
    ----------
    source, target : str
        Where the gas comes from and goes to.
    flow, flow_std : float
        mol/s along it and its standard error.
    chance : float
        Probability of a misfit at least this large if the path were the only one (plain number).
    place : str
        What to look at.
    """

    source: str
    target: str
    flow: float
    flow_std: float
    chance: float
    place: str


@dataclass(frozen=True)
class LeakVerdict:
    """Which single paths the readings allow.

    Parameters
    ----------
    possible : tuple of PathVerdict
        Paths that explain the readings, best first; empty when none does alone.
    tight : bool
        True when the readings are explained without any leak.
    sentences : tuple of str
        The verdict in words.
    """

    possible: tuple[PathVerdict, ...]
    tight: bool
    sentences: tuple[str, ...]


RULED_OUT = 0.01  # a path is ruled out only where its misfit has less than this chance


def which_path(leaks: list[LeakRate], level: float = 0.95) -> LeakVerdict:
    """Say along which single path the gas may have gone.

    What a chamber loses another gains, in moles. Each path is fitted alone by weighted least squares and kept
    unless a chi-square test rules it out with 99 % confidence.

    Parameters
    ----------
    leaks : list of LeakRate
        One for each chamber that was read, with its volume.
    level : float
        Confidence needed to say that there is a leak at all (plain number).

    Returns
    -------
    LeakVerdict

    Raises
    ------
    InputError
        If a volume is missing, or a chamber appears twice.

    Notes
    -----
    Source: conservation of gas (derived); chi-square test of a weighted least-squares fit, any text.
    """
    from scipy import stats

    names = [leak.chamber for leak in leaks]
    if len(set(names)) != len(names):
        raise InputError("a chamber appears twice", value=", ".join(names))
    if any(leak.volume <= 0 or leak.flow_std <= 0 for leak in leaks):
        raise InputError("each chamber needs its volume, and readings with some scatter", key="volume")
    lost = np.array([leak.flow for leak in leaks])
    error = np.array([leak.flow_std for leak in leaks])
    quiet = float(stats.chi2.sf(float(((lost / error) ** 2).sum()), lost.size))
    if quiet > 1.0 - level:
        return LeakVerdict((), True, ("no leak can be shown: the readings agree with a tight unit",))
    found = [v for path in PATHS if (v := _alone(path, names, lost, error)) is not None]
    possible = tuple(sorted((v for v in found if v.chance > RULED_OUT), key=lambda v: -v.chance))
    return LeakVerdict(possible, False, _sentences(possible, names))


def _alone(path: tuple[str, str], names: list[str], lost: Array, error: Array) -> PathVerdict | None:
    """Fit one path's flow to what each chamber lost; None where it touches no chamber or runs backwards."""
    from scipy import stats

    share = np.array([(n == path[0]) - (n == path[1]) for n in names], dtype=np.float64)
    if not share.any():
        return None
    weight = share / error**2
    flow, std = float(weight @ lost / (weight @ share)), float((weight @ share) ** -0.5)
    if flow <= 0:
        return None
    misfit = float((((lost - flow * share) / error) ** 2).sum())
    freedom = lost.size - 1
    chance = float(stats.chi2.sf(misfit, freedom)) if freedom else 1.0
    return PathVerdict(*path, flow, std, chance, PLACES[path])


def _sentences(possible: tuple[PathVerdict, ...], names: list[str]) -> tuple[str, ...]:
    if not possible:
        return ("no single path explains the readings: there is more than one leak, or a reading is wrong",)
    ways = [f"from the {_space(v.source)} to {_space(v.target, True)}: look at {v.place}" for v in possible]
    if len(ways) == 1:
        return (f"the gas goes {ways[0]}",)
    missing = sorted({s for v in possible for s in (v.source, v.target)} - set(names) - {OUTSIDE})
    more = (
        f"; read the {' and the '.join(_space(m) for m in missing)} too to tell them apart" if missing else ""
    )
    return (*(f"it may go {way}" for way in ways), f"these cannot be told apart by the readings{more}")


def _space(name: str, target: bool = False) -> str:
    if name == OUTSIDE:
        return "the outside"
    words = {"lower_leg": "lower leg"}.get(name, f"{name} chamber")
    return f"the {words}" if target else words
