"""The ride's kernel is slow to load and compiled at its very first use: done beside a look at the page."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

_LOG = logging.getLogger("forkwright.app")
_FIRST_LOOK = 0.5  # s that the loading leaves to the page itself
_GLANCE = 0.1  # s between two looks at whether it is ready

COURSE = """
format = 1
kind = "course"
name = "warming up"
length = "4 m"
[[speed]]
at = "0 m"
speed = "4 m/s"
"""


class KernelWarmth:
    """Loads the kernel once a server, in the background, and knows when it is ready."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._begun = False
        self._ended = threading.Event()

    @property
    def ready(self) -> bool:
        """Whether a ride would start at once."""
        return self._ended.is_set()

    def begin(self, after: float = _FIRST_LOOK) -> None:
        """Start loading after some seconds; only the first call does anything."""
        with self._lock:
            if self._begun:
                return
            self._begun = True
        threading.Thread(target=self._load, args=(after,), name="ride-kernel", daemon=True).start()

    def wait(self, tell: Callable[[float, str], None]) -> None:
        """Return once the kernel is ready; `tell` may raise to stop waiting."""
        self.begin(after=0.0)
        while not self._ended.wait(_GLANCE):
            tell(0.02, "making the ride's kernel ready; after an installation it is compiled, some seconds")

    def _load(self, after: float) -> None:
        self._ended.wait(after)
        try:
            ride_once()
        except Exception:
            _LOG.exception("the ride's kernel could not be made ready; the first ride will be slower")
        finally:
            self._ended.set()


def ride_once() -> None:
    """Ride a few metres of flat ground with the demonstration fork."""
    from importlib import resources

    from forkwright.hardware import Bike, Rider, Unit, read_text
    from forkwright.ride.course_file import read_course
    from forkwright.ride.simulate import simulate

    folder = resources.files("forkwright") / "demo"
    names = ("dunlin-160", "rider", "bike")
    unit, rider, bike = (read_text((folder / f"{n}.toml").read_text(encoding="utf-8"), n) for n in names)
    assert isinstance(unit, Unit)
    assert isinstance(rider, Rider)
    assert isinstance(bike, Bike)
    simulate(unit, read_course(COURSE, "warming up"), rider=rider, bike=bike)
