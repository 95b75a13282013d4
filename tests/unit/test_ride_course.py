"""Courses: what events do to the ground, what files may say, and what the wheel meets."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from forkwright.physics import G0, Unphysical
from forkwright.physics.road import disc_envelope, patch_average
from forkwright.physics.tyre import contact_force, inflated_ring_stiffness, stiffness_from_points
from forkwright.ride.course import road_under_wheel
from forkwright.ride.course_file import load_course, read_course
from forkwright.units import InputError

PLAIN = """format = 1
kind = "course"
name = "test"
length = "20 m"

[[speed]]
at = "0 m"
speed = "5 m/s"
"""


def with_event(**entries: str) -> str:
    return PLAIN + "\n[[event]]\n" + "\n".join(f"{key} = {value}" for key, value in entries.items()) + "\n"


def test_the_three_stages_load_and_last(demo_dir: Path) -> None:
    """The demonstration stages are sound and take between half a minute and two."""
    for name in ("peat-hag-descent", "heather-traverse", "cairn-flow-line"):
        course = load_course(demo_dir / "courses" / f"{name}.toml")
        assert 30.0 < course.duration < 120.0
        assert np.all(np.isfinite(course.elevation))
        assert not course.warnings


def test_same_file_same_course(demo_dir: Path) -> None:
    """Seeds make a course the same each time it is read."""
    path = demo_dir / "courses" / "heather-traverse.toml"
    assert load_course(path).fingerprint == load_course(path).fingerprint


@pytest.mark.parametrize(
    ("entries", "place", "height"),
    [
        ({"kind": '"square_edge"', "at": '"5 m"', "height": '"80 mm"', "length": '"1 m"'}, 5.5, 0.08),
        ({"kind": '"root"', "at": '"5 m"', "height": '"60 mm"', "width": '"0.4 m"'}, 5.2, 0.06),
        ({"kind": '"hole"', "at": '"5 m"', "depth": '"60 mm"', "length": '"0.4 m"'}, 5.2, -0.06),
        ({"kind": '"drop"', "at": '"5 m"', "height": '"0.5 m"'}, 15.0, -0.5),
        (
            {"kind": '"braking_bumps"', "at": '"5 m"', "height": '"60 mm"', "spacing": '"1 m"', "count": "3"},
            7.5,
            0.06,
        ),
        (
            {
                "kind": '"jump"',
                "at": '"5 m"',
                "height": '"0.6 m"',
                "ramp": '"3 m"',
                "gap": '"2 m"',
                "landing": '"4 m"',
            },
            12.0,
            0.3,
        ),
    ],
)
def test_events_change_the_ground(entries: dict[str, str], place: float, height: float) -> None:
    """Each event raises or lowers the ground where it lies, and by what it says."""
    course = read_course(with_event(**entries))
    assert np.interp(place, course.distance, course.elevation) == pytest.approx(height, abs=1e-9)
    assert course.elevation[0] == 0.0


def test_berm_and_climb_change_load_and_gradient() -> None:
    """A berm presses harder, a climb takes the cosine of its slope from the weight across the trail."""
    berm = read_course(with_event(kind='"berm"', at='"5 m"', length='"8 m"', load_factor='"1.8"'))
    road = road_under_wheel(berm, 1e-3, 0.37, 0.08)
    assert road.values[:, 2].max() == pytest.approx(1.8 * G0)
    assert road.values[0, 2] == pytest.approx(G0)
    climb = read_course(with_event(kind='"climb"', at='"5 m"', length='"8 m"', gradient='"20 %"'))
    road = road_under_wheel(climb, 1e-3, 0.37, 0.08)
    assert road.values[:, 2].min() == pytest.approx(G0 * np.cos(np.arctan(0.2)))
    assert road.values[:, 3].max() == pytest.approx(np.sin(np.arctan(0.2)))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            with_event(kind='"root"', at='"5 m"', height='"60 psi"', width='"1 m"'),
            ("line 13", "height", "psi"),
        ),
        (with_event(kind='"root"', at='"5 m"', height='"60 mm"', widht='"1 m"'), ("unknown key", "line 14")),
        (with_event(kind='"rut"', at='"5 m"'), ("rut",)),
        (with_event(kind='"drop"', at='"50 m"', height='"1 m"'), ("beyond the end", "line 12")),
        (PLAIN.replace('length = "20 m"\n', ""), ("missing key", "length")),
        (PLAIN.replace("5 m/s", "0 m/s"), ("line 8", "speed", "0.3 m/s")),
        (PLAIN + '\n[[roughness]]\nfrom = "1 m"\nto = "9 m"\n', ("class or density",)),
        (PLAIN + '\n[[roughness]]\nfrom = "9 m"\nto = "1 m"\nclass = "C"\n', ("line 12", "end behind")),
        (PLAIN + '\n[profile]\nfile = "../x.csv"\n', ("beside its course file",)),
        (PLAIN.replace("20 m", "20000 m").replace("kind", 'spacing = "2 mm"\nkind'), ("too many points",)),
        ("format = 1\nkind = [", ("not valid TOML",)),
    ],
)
def test_a_wrong_course_names_line_and_key(text: str, words: tuple[str, ...]) -> None:
    """Every fault in a course file is told with its place and what is allowed."""
    with pytest.raises(InputError) as fault:
        read_course(text, "c.toml", Path())
    for word in ("c.toml", *words):
        assert word in str(fault.value)


def test_a_measured_profile_is_split_into_line_and_ground(tmp_path: Path) -> None:
    """Long slopes go to the gradient, short waves stay ground; a bad row names its line."""
    distance = np.arange(0.0, 60.0, 0.02)
    height = 0.1 * distance + 0.03 * np.sin(2.0 * np.pi * distance / 2.0)
    rows = "\n".join(f"{d:.3f},{h:.5f}" for d, h in zip(distance, height, strict=True))
    (tmp_path / "run.csv").write_text("distance_m,elevation_m\n" + rows)
    text = PLAIN.replace("20 m", "50 m") + '\n[profile]\nfile = "run.csv"\nsmoothing = "20 m"\n'
    (tmp_path / "c.toml").write_text(text)
    course = load_course(tmp_path / "c.toml")
    inner = (course.distance > 15.0) & (course.distance < 45.0)
    assert course.gradient[inner] == pytest.approx(0.1, abs=2e-3)
    assert np.ptp(course.elevation[inner]) == pytest.approx(0.06, rel=0.03)
    (tmp_path / "run.csv").write_text("distance_m,elevation_m\n0,0\n1,x\n")
    with pytest.raises(InputError, match=r"run.csv, line 3: not a pair of numbers"):
        load_course(tmp_path / "c.toml")


def test_a_wheel_meets_a_square_edge_where_geometry_says() -> None:
    """A disc of radius R begins to rise sqrt(2 R a - a^2) before an edge of height a, and never cuts in."""
    spacing, radius, edge = 0.001, 0.37, 0.08
    ground = np.where(np.arange(3000) < 1500, 0.0, edge)
    path = disc_envelope(ground, spacing, radius)
    first = 1500 - int(np.argmax(path > 1e-9))
    assert first * spacing == pytest.approx(np.sqrt(2 * radius * edge - edge**2), abs=2 * spacing)
    assert np.all(path >= ground - 1e-12)
    assert patch_average(path, spacing, 0.08)[2900] == pytest.approx(edge)


def test_speed_sets_the_time_along_the_course() -> None:
    """Time is the integral of distance over speed, and the road's rate is slope times speed."""
    course = read_course(PLAIN)
    assert course.duration == pytest.approx(4.0)
    ramp = dataclasses.replace(course, elevation=0.05 * course.distance)
    road = road_under_wheel(ramp, 1e-3, 0.0, 0.0)
    assert road.values[2000, 1] == pytest.approx(0.25, rel=1e-6)


def test_tyre_stiffness_comes_from_points_and_says_when_it_does_not() -> None:
    """Measured points are interpolated; outside them a warning is given; nonsense is refused."""
    points = ((1.5e5, 7.0e4), (2.0e5, 8.5e4))
    assert stiffness_from_points(1.75e5, points) == (7.75e4, None)
    assert "outside" in (stiffness_from_points(3e5, points)[1] or "")
    with pytest.raises(Unphysical):
        stiffness_from_points(1e5, ())
    assert inflated_ring_stiffness(2e5, 0.36, 0.03) > inflated_ring_stiffness(1e5, 0.36, 0.03)
    assert np.all(contact_force(np.array([-1.0, 1e-3]), np.array([5.0, -50.0]), 8e4, 0.2) == 0.0)
