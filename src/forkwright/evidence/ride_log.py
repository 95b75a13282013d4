"""A ride log read as a ride: time riding, sag, bottom-outs, histograms, and use per section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from forkwright.evidence.recording import Recording
from forkwright.evidence.ride_use import Mask, Use, bottom_outs, use_of
from forkwright.evidence.signals import Motion, motion_of
from forkwright.physics.values import Array
from forkwright.units import InputError

_STANDING_SPEED = 0.02  # m/s rms over the window below which the bike is taken to stand (our own)
_STANDING_WINDOW = 2.0  # s
_ROLLING = 1.0  # m/s over ground that counts as riding
_TOO_DEEP = 0.6  # share of the travel that no unit rides at on average (common practice, no source)


@dataclass(frozen=True)
class Section:
    """A named stretch of a log.

    Parameters
    ----------
    name : str
        For example "rock garden".
    start, stop : float
        s from the first sample.
    """

    name: str
    start: float
    stop: float


@dataclass(frozen=True)
class RideLog:
    """A whole log, read.

    Parameters
    ----------
    source : str
        File name.
    full_travel : float
        m.
    motion : Motion
        Filtered travel and speed.
    riding : ndarray of bool, shape (n,)
        True while riding.
    whole : Use
        Over all riding.
    sections : tuple of Use
        By section, in the order of the log.
    bottom_out_times : tuple of float
        s.
    warnings : tuple of str
        What to mind.
    """

    source: str
    full_travel: float
    motion: Motion
    riding: Mask
    whole: Use
    sections: tuple[Use, ...]
    bottom_out_times: tuple[float, ...]
    warnings: tuple[str, ...]


def read_ride(
    recording: Recording,
    full_travel: float,
    *,
    channel: str = "travel",
    cutoff: float | None = None,
    sections: Sequence[Section] = (),
) -> RideLog:
    """Read a ride log.

    Parameters
    ----------
    recording : Recording
        With a travel channel; "ground_speed" and "section" are used where there are any.
    full_travel : float
        m of the unit.
    channel : str
        Name of the travel channel.
    cutoff : float, optional
        Hz of the low-pass; see `motion_of`.
    sections : sequence of Section, optional
        Named stretches; by default those of the recording's "section" column.

    Returns
    -------
    RideLog

    Raises
    ------
    InputError
        If there is no riding in the log, the travel is not positive, or a section lies outside the log.
    """
    if not full_travel > 0:
        raise InputError("the unit's travel must be positive", key="travel", value=f"{full_travel} m")
    motion = motion_of(recording, channel, cutoff)
    riding = riding_time(motion, _ground_speed(recording, motion))
    if not riding.any():
        raise InputError("the bike stands still through the whole log", file=recording.source)
    stretches = _stretches(recording, motion, sections)
    whole = use_of("whole ride", motion, riding, full_travel)
    uses = tuple(
        use_of(name, motion, riding & inside, full_travel)
        for name, inside in stretches
        if (riding & inside).any()
    )
    hits = bottom_outs(motion, full_travel)
    return RideLog(
        recording.source, full_travel, motion, riding, whole, uses,
        tuple(float(motion.time[i]) for i in hits), _warnings(motion, riding, full_travel),
    )  # fmt: skip


def riding_time(motion: Motion, ground_speed: Array | None = None) -> Mask:
    """Return where the bike is ridden: it rolls, or (without a ground speed) the unit works.

    Parameters
    ----------
    motion : Motion
        Filtered travel and speed.
    ground_speed : ndarray, shape (n,), optional
        m/s.
    """
    if ground_speed is not None:
        return np.asarray(ground_speed > _ROLLING)
    width = max(int(_STANDING_WINDOW * motion.rate), 1)
    riding = np.zeros(motion.time.size, dtype=np.bool_)
    for start, stop in motion.pieces:
        power = np.concatenate([[0.0], np.cumsum(motion.speed[start:stop] ** 2)])
        at = np.arange(stop - start)
        low, high = np.maximum(at - width // 2, 0), np.minimum(at + width // 2 + 1, stop - start)
        riding[start:stop] = (power[high] - power[low]) / (high - low) > _STANDING_SPEED**2
    return riding


def _ground_speed(recording: Recording, motion: Motion) -> Array | None:
    for name in ("ground_speed", "speed"):
        if recording.dimensions.get(name) == "speed":
            return np.asarray(np.interp(motion.time, recording.time, recording[name]), dtype=np.float64)
    return None


def _stretches(recording: Recording, motion: Motion, sections: Sequence[Section]) -> list[tuple[str, Mask]]:
    found: list[tuple[str, Mask]] = []
    for section in sections:
        inside = (motion.time >= section.start) & (motion.time < section.stop)
        if not section.start < section.stop or not inside.any():
            raise InputError(
                "the section lies outside the log",
                file=recording.source,
                key=section.name,
                value=f"{section.start:g} s to {section.stop:g} s",
                allowed=f"0 s to {motion.time[-1]:g} s",
            )
        found.append((section.name, inside))
    if not found and "section" in recording.labels:
        labels = recording.labels["section"]
        index = np.clip(np.searchsorted(recording.time, motion.time), 0, labels.size - 1)
        at_motion = labels[index]
        names = [n for n in dict.fromkeys(at_motion.tolist()) if n]
        found = [(name, at_motion == name) for name in names[:100]]
    return found


def _warnings(motion: Motion, riding: Mask, full_travel: float) -> tuple[str, ...]:
    words = list(motion.warnings)
    stood = float(np.mean(~riding))
    if stood > 0.05:
        words.append(f"{stood:.0%} of the log is standing still and is left out")
    low, high = float(motion.travel.min()), float(motion.travel.max())
    if low < -0.02 * full_travel or high > 1.02 * full_travel:
        words.append(
            f"the travel runs from {low * 1000:.1f} to {high * 1000:.1f} mm, beyond 0 to "
            f"{full_travel * 1000:.0f} mm: check the sensor's zero and scale"
        )
    usual = float(motion.travel[riding].mean()) / full_travel
    if usual > _TOO_DEEP:
        words.append(
            f"it rides at {usual:.0%} of the travel on average: does the sensor count the other way, "
            "or is its zero at full travel?"
        )
    if high < 0.5 * full_travel:
        words.append("less than half of the travel was used: was the sensor's scale right?")
    if riding.sum() / motion.rate < 60:
        words.append("less than a minute of riding: shares and speeds are rough")
    return tuple(words)
