"""Courses, the time-stepping kernel, scores, and sweeps over many settings.

Begin at `simulate` (one ride), `course_file` (what a course is), `build` (unit to kernel), `kernel` (the
equations), `scores` and `sweep`; `pitch` rides both ends of the bike. A ride never chooses a setting: that is
the room `tune`. See docs/ride.md.
"""
