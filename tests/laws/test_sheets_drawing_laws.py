"""The cut-away is to scale: volumes measured off the drawing are the volumes the physics computes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import forkwright as fw
from forkwright.bench import spring_curve
from forkwright.hardware import Unit
from forkwright.sheets.chart_print import round_ticks
from forkwright.sheets.cutaway import round_scale
from forkwright.sheets.cutaway_data import floating_at
from forkwright.sheets.geometry import Layout, Pose, moved_box
from forkwright.sheets.labels import spread
from forkwright.sheets.legs import chassis, damper_leg, spring_leg
from forkwright.sheets.paints import pressure_colour

DUNLIN = fw.load(fw.demo_file("dunlin-160"))
PLOVER = fw.load(fw.demo_file("plover-160"))


def _drawn_volume(layout: Layout, key: str, pose: Pose) -> float:
    """Volume (mm³) of a rectangle turned about the axis."""
    left, top, right, bottom = moved_box(layout.part(key), pose)
    return math.pi / 4 * (right - left) ** 2 * (bottom - top)


def _positive_volume(layout: Layout, pose: Pose) -> float:
    keys = [part.key for part in layout.parts]
    solid = sum(_drawn_volume(layout, key, pose) for key in keys if key.startswith("spacer-"))
    below = _drawn_volume(layout, "below-floating", pose) if "below-floating" in keys else 0.0
    stop = layout.part("below-floating").box() if "below-floating" in keys else None
    rest = math.pi / 4 * (stop[2] - stop[0]) ** 2 * (stop[3] - stop[1]) if stop else 0.0
    return _drawn_volume(layout, "positive", pose) - solid + below - rest


@settings(max_examples=40, deadline=None)
@given(share=st.floats(0.0, 1.0), spacers=st.integers(0, 6))
def test_drawn_chambers_hold_the_modelled_volumes(share: float, spacers: int) -> None:
    """V+ = V+0 - n Vs - A x and V- = V-0 + An x, read off the drawing at any travel and spacer count."""
    spring, setting = DUNLIN.air_spring, DUNLIN.setting.changed(spacers=spacers)
    layout, x = spring_leg(DUNLIN, setting), share * DUNLIN.travel.si
    pose = layout.pose(x * 1e3)
    area = math.pi / 4 * spring.bore.si**2
    ring = area - math.pi / 4 * spring.shaft.si**2
    positive = spring.positive_volume.si - spacers * spring.spacers.volume.si - area * x
    assert _positive_volume(layout, pose) * 1e-9 == pytest.approx(positive, rel=1e-9)
    shaft = math.pi / 4 * (spring.shaft.si * 1e3) ** 2
    left, top, right, bottom = moved_box(layout.part("negative"), pose)
    drawn = (math.pi / 4 * (right - left) ** 2 - shaft) * (bottom - top)
    assert drawn * 1e-9 == pytest.approx(spring.negative_volume.si + ring * x, rel=1e-9)


@settings(max_examples=15, deadline=None)
@given(share=st.floats(0.0, 1.0))
def test_drawn_floating_piston_gives_and_takes_its_own_volume(share: float) -> None:
    """The positive chamber gains what the piston gives up, and the secondary loses the same."""
    curve = spring_curve(PLOVER)
    x = share * PLOVER.travel.si
    movement = floating_at(curve, x)
    layout = spring_leg(PLOVER)
    pose = layout.pose(x * 1e3, movement)
    spring = PLOVER.air_spring
    area, small = (math.pi / 4 * bore.si**2 for bore in (spring.bore, spring.floating.bore))
    gained = small * movement * 1e-3
    positive = spring.positive_volume.si - area * x + gained
    assert _positive_volume(layout, pose) * 1e-9 == pytest.approx(positive, rel=1e-9)
    secondary = _drawn_volume(layout, "secondary", pose) * 1e-9
    assert secondary == pytest.approx(spring.floating.volume.si - gained, rel=1e-9)


@pytest.mark.parametrize("unit", [DUNLIN, PLOVER], ids=lambda unit: unit.name)
def test_nothing_collides_at_full_travel(unit: Unit) -> None:
    """At full travel the piston clears the spacers, the wiper the crown, the lower leg's oil the tube."""
    most = unit.air_spring.spacers.max_count if unit.air_spring.spacers else 0
    layout = spring_leg(unit, unit.setting.changed(spacers=most) if most else None)
    full = spring_curve(unit)
    pose = layout.pose(layout.travel, float(full.floating[-1]) * 1e3)
    boxes = {part.key: moved_box(part, pose) for part in layout.parts}
    lowest = max((box[3] for key, box in boxes.items() if key.startswith("spacer-")), default=0.0)
    assert boxes["piston"][1] >= lowest - 1e-9
    assert boxes["wiper-r"][1] > boxes["crown-r"][3]
    assert boxes["lower-oil"][1] > boxes["stanchion-r"][3]
    assert boxes["positive"][3] > boxes["positive"][1]


@pytest.mark.parametrize("unit", [DUNLIN, PLOVER], ids=lambda unit: unit.name)
@pytest.mark.parametrize("leg", [spring_leg, damper_leg], ids=["spring", "damper"])
def test_a_drawn_lower_leg_holds_the_measured_air(unit: Unit, leg: Callable[[Unit], Layout | None]) -> None:
    """Beside, inside and below the stanchion, and above the oil, lies the measured volume."""
    layout = leg(unit)
    assert layout is not None
    assert not any("air space is drawn" in note for note in layout.notes)
    space, oil, tube, inside, shaft = (
        layout.part(key).box()
        for key in ("lower-air", "lower-oil", "stanchion-r", "tube-below-head", "shaft")
    )

    def disc(radius: float) -> float:
        return math.pi * radius**2

    whole = disc(space[2]) * (oil[1] - space[1])
    stanchion = disc(tube[2]) * (tube[3] - space[1])
    below_the_head = disc(inside[2]) * (inside[3] - inside[1])
    drawn = whole - stanchion + below_the_head - disc(shaft[2]) * (oil[1] - inside[1])
    assert drawn * 1e-9 == pytest.approx(unit.lower_legs.air_volume.si, rel=1e-9)


def test_bushings_and_axle_stand_where_they_were_measured() -> None:
    """Axle to lower bushing and bushing spacing can be read off the drawing at any travel."""
    layout = chassis(DUNLIN)
    for travel in (0.0, 70.0, 160.0):
        pose = layout.pose(travel)
        middle = {
            key: sum(moved_box(layout.part(key), pose)[1::2]) / 2
            for key in ("spring-lower-bushing-r", "spring-upper-bushing-r", "axle")
        }
        lower = middle["spring-lower-bushing-r"]
        assert middle["axle"] - lower == pytest.approx(DUNLIN.chassis.axle_to_lower_bushing.si * 1e3)
        spacing = lower - middle["spring-upper-bushing-r"]
        assert spacing == pytest.approx(DUNLIN.chassis.bushing_spacing.si * 1e3)


def test_transfer_port_is_bridged_at_the_transfer_point_alone() -> None:
    """The piston's seal lies within the groove at the transfer point, and clear of it at 0 and beyond."""
    layout = spring_leg(DUNLIN)
    transfer = DUNLIN.air_spring.transfer.si * 1e3
    groove = layout.part("transfer").box()

    def seal(travel: float) -> float:
        box = moved_box(layout.part("piston-seal"), layout.pose(travel))
        return (box[1] + box[3]) / 2

    assert groove[1] < seal(transfer) < groove[3]
    assert not groove[1] <= seal(0.0) <= groove[3]
    assert not groove[1] <= seal(3 * transfer) <= groove[3]


@settings(max_examples=60)
@given(
    anchors=st.lists(st.floats(-500, 500), min_size=1, max_size=14).map(sorted),
    height=st.floats(1.0, 40.0),
)
def test_labels_never_overlap_and_move_no_further_than_needed(anchors: list[float], height: float) -> None:
    """Spread labels keep order and room; where there is room already they stay at their parts."""
    heights = [height] * len(anchors)
    placed = spread(anchors, heights)
    assert all(b - a >= height - 1e-6 for a, b in itertools.pairwise(placed))
    if all(b - a >= height for a, b in itertools.pairwise(anchors)):
        assert placed == pytest.approx(anchors, abs=1e-6)
    assert np.mean(placed) == pytest.approx(np.mean(anchors), abs=1e-6)


@settings(max_examples=60)
@given(low=st.floats(-1e4, 1e4), span=st.floats(1e-3, 1e5))
def test_ticks_cover_the_range_evenly(low: float, span: float) -> None:
    """Axis ticks are evenly spaced, few, and enclose every value."""
    ticks = round_ticks(low, low + span)
    steps = np.diff(ticks)
    assert ticks[0] <= low + 1e-6 * span
    assert ticks[-1] >= low + span - 1e-6 * span
    assert np.allclose(steps, steps[0])
    assert 2 <= len(ticks) <= 9


@settings(max_examples=60)
@given(gauge=st.floats(0.0, 3e6), more=st.floats(1e3, 1e6))
def test_tint_darkens_with_pressure(gauge: float, more: float) -> None:
    """More pressure is never drawn lighter, so the tint reads the same on a grey print."""

    def lightness(colour: str) -> float:
        red, green, blue = (int(colour[place : place + 2], 16) for place in (1, 3, 5))
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = pressure_colour(gauge, 4e6), pressure_colour(gauge + more, 4e6)
    assert lightness(dark) <= lightness(light)
    assert lightness(pressure_colour(4e6, 4e6)) < 0.5 * lightness(pressure_colour(0.0, 4e6))
    if more > 0.05 * 4e6 and gauge + more <= 4e6:  # a twentieth of the scale is seen
        assert lightness(dark) < lightness(light)
    assert max(gauge, 1000.0) * (1 - 1e-9) <= round_scale(gauge) <= 1.6 * max(gauge, 1000.0)
