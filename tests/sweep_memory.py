"""Run a sweep of N short rides in this process and print the most memory it took, kB."""

from __future__ import annotations

import sys
from pathlib import Path

import forkwright as fw
from forkwright.ride.course_file import read_course
from forkwright.ride.options import DampingTable, RideOptions
from forkwright.ride.settings_table import latin_hypercube

COURSE = """format = 1
kind = "course"
name = "short"
length = "12 m"
[[speed]]
at = "0 m"
speed = "6 m/s"
[[roughness]]
from = "1 m"
to = "12 m"
class = "E"
longest_wave = "4 m"
"""

if __name__ == "__main__":
    fw.sweep(
        fw.load(fw.demo_file("dunlin-160")),
        [read_course(COURSE)],
        latin_hypercube({"pressure": (4.5e5, 7.5e5)}, int(sys.argv[1])),
        Path(sys.argv[2]),
        rider=fw.load(fw.demo_file("rider")),
        bike=fw.load(fw.demo_file("bike")),
        options=RideOptions(damping=DampingTable.linear(600.0, 1400.0)),
        workers=1,
    )
    # Not `getrusage`: its peak begins with that of the process that started this one.
    peak = next(
        line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")
    )
    print(int(peak.split()[1]))
