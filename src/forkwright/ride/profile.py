"""A measured elevation profile from a CSV file, split into the trail's mean line and the ground upon it."""

from __future__ import annotations

import csv
import math
import os
from collections.abc import Iterator
from typing import Annotated

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from forkwright.hardware.fields import Part, quantity
from forkwright.hardware.files import read_file
from forkwright.units import InputError, Measure

Array = NDArray[np.float64]

LARGEST_PROFILE = 64_000_000  # bytes
SHORTEST, LONGEST = 2.0, 20_000.0  # m
DEEPEST, HIGHEST = -1_000.0, 10_000.0  # m
COLUMNS = ("distance_m", "elevation_m")


class Profile(Part):
    """A measured profile beside the course file.

    `smoothing` is the length below which a wave counts as ground; longer ones belong to the trail's mean
    line.
    """

    file: Annotated[str, Field(min_length=1, max_length=200)]
    smoothing: Annotated[Measure, quantity("length", "1 m", "500 m")] = Measure(20.0, text="20 m")


def read_profile(path: str | os.PathLike[str], smoothing: float) -> tuple[Array, Array, Array]:
    """Read a measured profile.

    Parameters
    ----------
    path : path
        CSV with a header naming at least `distance_m` and `elevation_m`; distances must grow.
    smoothing : float
        Wavelength that the mean line passes at half amplitude, m.

    Returns
    -------
    distance, ground, gradient : array
        m, m above the mean line, and slope of the mean line; shape (n,).

    Raises
    ------
    InputError
        Naming file and line of the first row that cannot be used.

    Notes
    -----
    Own definition: the mean line is the profile smoothed by a Gaussian whose half-amplitude wavelength is
    `smoothing`, that is a standard deviation of ``smoothing * sqrt(2 ln 2) / (2 pi)``.
    """
    from scipy.ndimage import gaussian_filter1d

    distance, elevation = _columns(os.fspath(path))
    spacing = float(np.clip((distance[-1] - distance[0]) / (distance.size - 1), 0.002, 1.0))
    even = np.arange(0.0, distance[-1] - distance[0] + 0.5 * spacing, spacing)
    height = np.interp(even, distance - distance[0], elevation)
    deviation = smoothing * math.sqrt(2.0 * math.log(2.0)) / (2.0 * math.pi)
    # The slope at each end is carried on, so that smoothing does not bend the mean line there.
    tilt = np.interp(even, [0.0, even[-1]], [height[0], height[-1]])
    mean = tilt + gaussian_filter1d(height - tilt, deviation / spacing, mode="reflect")
    return even, height - mean, np.gradient(mean, spacing)


def _columns(file: str) -> tuple[Array, Array]:
    rows = _rows(file)
    header = [name.strip().lower() for name in next(rows, [])]
    for name in COLUMNS:
        if name not in header:
            raise InputError(
                "missing column",
                file=file,
                line=1,
                key=name,
                value=", ".join(header),
                allowed=", ".join(COLUMNS),
            )
    places = [header.index(name) for name in COLUMNS]
    values: list[tuple[float, float]] = []
    for number, row in enumerate(rows, start=2):
        if not any(cell.strip() for cell in row):
            continue
        values.append(_pair(file, number, row, places, values))
    if len(values) < 8:
        raise InputError("a profile needs at least 8 rows", file=file, value=str(len(values)))
    table = np.array(values)
    length = table[-1, 0] - table[0, 0]
    if not SHORTEST <= length <= LONGEST:
        raise InputError(
            "a profile too short or too long",
            file=file,
            key=COLUMNS[0],
            value=f"{length:g} m",
            allowed=f"{SHORTEST:g} to {LONGEST:g} m",
        )
    return table[:, 0], table[:, 1]


def _rows(file: str) -> Iterator[list[str]]:
    try:
        yield from csv.reader(read_file(file, largest=LARGEST_PROFILE).splitlines())
    except csv.Error as fault:
        raise InputError(f"this is no table: {fault}", file=file) from None


def _pair(
    file: str, number: int, row: list[str], places: list[int], before: list[tuple[float, float]]
) -> tuple[float, float]:
    try:
        distance, elevation = (float(row[place]) for place in places)
    except (ValueError, IndexError):
        raise InputError("not a pair of numbers", file=file, line=number, value=",".join(row)) from None
    if not (math.isfinite(distance) and math.isfinite(elevation)):
        raise InputError("not a finite number", file=file, line=number, value=",".join(row))
    if not DEEPEST <= elevation <= HIGHEST:
        raise InputError(
            "out of range",
            file=file,
            line=number,
            key=COLUMNS[1],
            value=row[places[1]],
            allowed=f"{DEEPEST:g} to {HIGHEST:g}",
        )
    if before and not distance > before[-1][0]:
        raise InputError(
            "distances must grow from row to row",
            file=file,
            line=number,
            key=COLUMNS[0],
            value=row[places[0]],
            allowed=f"more than {before[-1][0]:g}",
        )
    return distance, elevation
