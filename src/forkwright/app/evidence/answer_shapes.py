"""The published shapes of the answers about files of measurements; what a job finds comes as its result."""

from __future__ import annotations

from typing import Literal

from forkwright.app.answer_shapes import Shape


class HeldFile(Shape):
    """A file on the server: the key it is asked for by, what its user calls it, its size in bytes.

    `read` tells that it is known what its columns mean.
    """

    file: str
    name: str
    bytes: int
    read: bool


class HeldFiles(Shape):
    """The files of one browser, the oldest first."""

    files: list[HeldFile]


class FileGone(Shape):
    """The key of a file that was taken off the server."""

    file: str


class ChannelRange(Shape):
    """What a column holds as its mapping reads it: the kind of quantity, lowest and highest value in SI."""

    dimension: str
    low: float
    high: float


class CheckedMapping(Shape):
    """The range of every channel of a mapping."""

    channels: dict[str, ChannelRange]


class ColumnMeaning(Shape):
    """What a column means: its header, kind of quantity and unit, and what is done to its values, if any.

    `zero` is in the column's own unit.
    """

    column: str
    quantity: str
    unit: str | None = None
    reversed: bool | None = None
    zero: float | None = None
    absolute: bool | None = None


class MappingAnswer(Shape):
    """A mapping in the keys of its file: the columns by channel; `sample_rate` is text with its unit."""

    format: Literal[1]
    source: str
    sample_rate: str | None = None
    columns: dict[str, ColumnMeaning]


class MappingFile(Shape):
    """A mapping as the text of its file."""

    toml: str


class ShownChannel(Shape):
    """A stretch of a channel for the screen: times (s), and whether every one of its samples is shown."""

    time_s: list[float]
    samples: int
    whole: bool


class ShownTravel(ShownChannel):
    """Travel (m); null where the log has a gap."""

    travel_m: list[float | None]


class ShownSpeed(ShownChannel):
    """Shaft speed (m/s), compression positive; null where the log has a gap."""

    speed_m_s: list[float | None]


class ShownSimulation(ShownChannel):
    """Travel of the ride that was laid over the log (m)."""

    simulated_m: list[float | None]


class ShownChannels(Shape):
    """The channels that were asked for; one that has nothing in the stretch is left out."""

    travel: ShownTravel | None = None
    speed: ShownSpeed | None = None
    simulated: ShownSimulation | None = None


class WindowAnswer(Shape):
    """A stretch of a log from `start_s` to `stop_s` (s), thinned for the screen without losing a peak."""

    start_s: float
    stop_s: float
    shown: ShownChannels
