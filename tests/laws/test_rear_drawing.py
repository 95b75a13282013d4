"""The cut-away of a shock is to scale: what can be read off it is what was measured, at any travel."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import forkwright as fw
from forkwright.hardware import Unit
from forkwright.sheets.cutaway import TEXT, draw_cutaway
from forkwright.sheets.geometry import Layout, Pose, moved_box
from forkwright.sheets.legs import chassis, damper_leg, spring_leg
from forkwright.sheets.shock import shock
from forkwright.sheets.sizes import sizes_of

LINNET: Unit = fw.load(fw.demo_file("linnet-65"))
PIPIT: Unit = fw.load(fw.demo_file("pipit-65"))
SHARES = st.floats(0.0, 1.0)


def drawn(layout: Layout, key: str, pose: Pose) -> float:
    """Volume (mm³) of a rectangle turned about the axis."""
    left, top, right, bottom = moved_box(layout.part(key), pose)
    return math.pi / 4 * (right - left) ** 2 * (bottom - top)


@settings(max_examples=25, deadline=None)
@given(share=SHARES, spacers=st.integers(0, 5))
def test_the_can_holds_the_measured_volumes(share: float, spacers: int) -> None:
    """V+ = V+0 - n Vs - A x and V- = V-0 + An x can be read off the drawing of an air shock."""
    spring, x = LINNET.air_spring, share * LINNET.travel.si
    layout = spring_leg(LINNET, LINNET.setting.changed(spacers=spacers))
    pose = layout.pose(x * 1e3)
    area = math.pi / 4 * spring.bore.si**2
    ring = area - math.pi / 4 * spring.shaft.si**2
    solid = sum(drawn(layout, part.key, pose) for part in layout.parts if part.key.startswith("spacer-"))
    positive = spring.positive_volume.si - spacers * spring.spacers.volume.si - area * x
    assert (drawn(layout, "positive", pose) - solid) * 1e-9 == pytest.approx(positive, rel=1e-9)
    left, top, right, bottom = moved_box(layout.part("negative"), pose)
    across = math.pi / 4 * ((right - left) ** 2 - (spring.shaft.si * 1e3) ** 2)
    assert across * (bottom - top) * 1e-9 == pytest.approx(spring.negative_volume.si + ring * x, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(share=SHARES, mount=st.sampled_from(["inline", "piggyback"]))
def test_oil_the_shaft_pushes_out_is_oil_the_reservoir_takes(share: float, mount: str) -> None:
    """All oil drawn together stays the same at any travel, reservoir in line or beside the body."""
    size = sizes_of(PIPIT)
    layout = shock(replace(size, damper=replace(size.damper, mount=mount)))

    def oil(pose: Pose) -> float:
        shaft = math.pi / 4 * size.damper.shaft**2
        _, top, _, bottom = moved_box(layout.part("shaft-oil"), pose)
        chambers = sum(drawn(layout, key, pose) for key in ("compression-oil", "shaft-oil", "reservoir-oil"))
        return chambers - shaft * (bottom - top)

    assert oil(layout.pose(share * layout.travel)) == pytest.approx(oil(layout.pose(0.0)), rel=1e-9)


@pytest.mark.parametrize("unit", [LINNET, PIPIT], ids=lambda unit: unit.name)
@pytest.mark.parametrize("mount", ["inline", "piggyback"])
def test_a_shock_clears_itself_at_full_travel(unit: Unit, mount: str) -> None:
    """At full stroke the piston clears the base valve, the can the bridge, and the bumper meets the end."""
    size = sizes_of(unit)
    layout = shock(replace(size, damper=replace(size.damper, mount=mount)))
    boxes = {part.key: moved_box(part, layout.pose(layout.travel)) for part in layout.parts}
    assert boxes["damper-piston-shims"][1] > boxes["base-valve"][3]
    assert boxes["bumper"][1] == pytest.approx(boxes["seal-head"][3] - size.bottom_out)
    assert all(box[3] >= box[1] for box in boxes.values())
    eyes = {key: layout.part(key).box() for key in ("upper-eyelet", "lower-eyelet")}
    assert eyes["lower-eyelet"][1] - layout.travel > eyes["upper-eyelet"][3]
    if "can-head" in boxes:
        top = boxes["bridge"][3] if mount == "piggyback" else eyes["upper-eyelet"][3]
        assert boxes["can-head"][1] > top
        assert boxes["positive"][3] > boxes["positive"][1]


def test_the_coil_stands_at_its_measured_length() -> None:
    """Collar to seat is the free length less the preload, and shortens by the travel."""
    layout = chassis(PIPIT)
    _, top, _, bottom = moved_box(layout.part("main-coil"), layout.pose(20.0))
    assert bottom - top == pytest.approx(164.0 - 1.0 - 20.0)


def test_the_transfer_port_meets_the_seal_at_the_transfer_point_alone() -> None:
    """The piston's seal lies within the can's groove at the transfer point, and clear of it elsewhere."""
    layout, transfer = spring_leg(LINNET), LINNET.air_spring.transfer.si * 1e3
    seal = sum(layout.part("piston-seal").box()[1::2]) / 2

    def bridged(travel: float) -> bool:
        _, top, _, bottom = moved_box(layout.part("transfer"), layout.pose(travel))
        return top < seal < bottom

    assert bridged(transfer)
    assert not bridged(0.0)
    assert not bridged(3 * transfer)


def test_what_a_file_does_not_say_is_drawn_as_a_stated_assumption() -> None:
    """Without reservoir mount, free length or damper the drawing stands, and names what it assumed."""
    size = sizes_of(PIPIT)
    unsaid = shock(replace(size, damper=replace(size.damper, mount=""), coil_length=0.0))
    assert any("mounted" in note for note in unsaid.notes)
    assert any("free length" in note for note in unsaid.notes)
    bare = shock(replace(sizes_of(LINNET), damper=None))
    assert any("no damper sizes" in note for note in bare.notes)
    assert damper_leg(LINNET).travel == pytest.approx(65.0)


@pytest.mark.parametrize("unit", [LINNET, PIPIT], ids=lambda unit: unit.name)
def test_every_name_stands_within_the_picture(unit: Unit) -> None:
    """With a pressure read in every chamber no name leaves the picture at either end."""
    layout = damper_leg(unit)
    svg = draw_cutaway(layout, None, {part.chamber: 1e6 for part in layout.parts if part.chamber}, 2e6)
    _, top, _, height = (float(number) for number in re.search(r'viewBox="([^"]+)"', svg)[1].split())
    written = [float(place) for place in re.findall(r'<tspan x="[^"]+" y="([^"]+)"', svg)]
    assert min(written) - TEXT > top
    assert max(written) < top + height
