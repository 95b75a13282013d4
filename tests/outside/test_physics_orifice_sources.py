"""Orifices and gaps against handbook values, the `fluids` library and an independent finite-element flow."""

from __future__ import annotations

import math

import numpy as np
import pytest

from forkwright.physics import annular_gap, orifice

pytestmark = pytest.mark.outside


def test_sharp_hole_at_high_flow_number(check):
    """1.5 mm hole, 860 kg/m3, 10 bar, Cd = pi/(pi + 2): the flow of the orifice equation."""
    hole = orifice.round_holes(1.5e-3, 1, 860.0, 0.0, discharge=orifice.SLOT_DISCHARGE)
    check(
        formula="orifice, 1.5 mm, 10 bar", source="Kirchhoff free streamline Cd, orifice equation (derived)",
        expected=52.0703, got=hole.flow(10e5) * 1e6, tolerance=1e-5, unit="cm3/s",
    )  # fmt: skip


def test_orifice_equals_the_fluids_library(check):
    """Mass flow of a small orifice in a wide pipe, with the coefficient the library finds."""
    import fluids

    drop, bore, pipe, density = 10e5, 1.5e-3, 0.1, 860.0
    mass = fluids.flow_meter.flow_meter_discharge(
        D=pipe, Do=bore, P1=11e5, P2=11e5 - drop, rho=density, C=0.61, expansibility=1.0
    )
    hole = orifice.round_holes(bore, 1, density, 0.0, discharge=0.61)
    check(
        formula="orifice flow, Cd 0.61", source="fluids.flow_meter_discharge", expected=mass / density * 1e6,
        got=hole.flow(drop) * 1e6, tolerance=1e-6, unit="cm3/s",
    )  # fmt: skip


def test_round_coefficient_lies_by_the_iso_orifice(check):
    """The Cd used for sharp round holes against ISO 5167 as `fluids` carries it (beta 0.5, Re_D 1e5)."""
    from fluids.flow_meter import C_Reader_Harris_Gallagher

    flow = 1e5 * math.pi * 0.1 * 0.001 / 4.0
    c = C_Reader_Harris_Gallagher(D=0.1, Do=0.05, rho=1000.0, mu=0.001, m=flow, taps="corner")
    check(
        formula="Cd of a sharp round hole", source="ISO 5167 through fluids (beta 0.5, Re_D 1e5)", expected=c,
        got=orifice.ROUND_DISCHARGE, tolerance=0.01,
    )  # fmt: skip


def test_long_hole_equals_poiseuille(check):
    """A thin long hole at low flow: the library's laminar pipe friction."""
    from fluids.friction import friction_laminar

    diameter, length, density, viscosity, flow = 1e-3, 0.5, 860.0, 0.0138, 1e-8
    speed = flow / (math.pi / 4 * diameter**2)
    reynolds = density * speed * diameter / viscosity
    expected = friction_laminar(reynolds) * length / diameter * 0.5 * density * speed**2
    hole = orifice.round_holes(diameter, 1, density, viscosity, length=length)
    check(
        formula="laminar flow along a hole", source="fluids.friction_laminar", expected=expected,
        got=hole.drop(flow), tolerance=5e-3, unit="Pa",
    )  # fmt: skip


def test_creeping_limits(check):
    """Cd grows with the root of the flow number: slit after Wuest, round hole after Sampson."""
    density, viscosity, height, width = 860.0, 0.0138, 0.1e-3, 30e-3
    slit = orifice.slit(height, width, density, viscosity)
    flow = 1e-14
    speed = flow / (height * width)
    reynolds = speed * 2 * height * density / viscosity
    check(
        formula="creeping slit, Cd", source="Wuest 1954 (from memory): sqrt(pi Re / 128)",
        expected=math.sqrt(math.pi * reynolds / 128),
        got=speed / math.sqrt(2.0 * slit.drop(flow) / density),
        tolerance=1e-6,
    )  # fmt: skip
    hole = orifice.round_holes(1e-3, 1, density, viscosity)
    check(
        formula="creeping round hole, dp", source="Sampson 1891 (from memory): 3 mu Q / R^3",
        expected=3 * viscosity * flow / 0.5e-3**3, got=hole.drop(flow), tolerance=1e-6, unit="Pa",
    )  # fmt: skip


@pytest.mark.parametrize(("gap", "expected"), [(25e-6, 0.23640), (50e-6, 1.88525), (100e-6, 14.98723)])
def test_concentric_annulus(check, gap, expected):
    """Exact concentric annulus, outer radius 4 mm, 10 mm long, 13.8 mPa s, 10 bar."""
    got = annular_gap.annulus_conductance(4e-3, 4e-3 - gap, 10e-3, 0.0138) * 10e5 * 1e6
    check(
        formula=f"concentric annulus, gap {gap * 1e6:.0f} um",
        source="Bird, Stewart & Lightfoot 2.4 (from memory)", expected=expected, got=got, tolerance=5e-6,
        unit="cm3/s", relative=False,
    )  # fmt: skip


@pytest.mark.parametrize("share", [0.02, 0.3, 0.7])
def test_eccentric_annulus_equals_finite_elements(check, share):
    """The eccentric series against the same Poisson problem solved with scikit-fem."""
    outer, inner = 4e-3, 2.5e-3
    offset = share * (outer - inner)
    got = annular_gap.annulus_conductance(outer, inner, 10e-3, 0.0138, offset)
    check(
        formula=f"eccentric annulus, offset {share:g} of the gap", source="scikit-fem, quadratic elements",
        expected=_annulus_by_elements(outer, inner, 10e-3, 0.0138, offset), got=got, tolerance=3e-4,
        unit="m3/s/Pa",
    )  # fmt: skip


def test_thin_gap_is_the_limit_of_the_exact_one(check):
    """A gap of 0.25 % of the radius: thin and exact agree, and off centre both grow by 1 + 1.5 e^2."""
    outer, gap = 4e-3, 10e-6
    for share in (0.0, 0.5, 0.9):
        exact = annular_gap.annulus_conductance(outer, outer - gap, 10e-3, 0.0138, share * gap)
        thin = annular_gap.thin_annulus_conductance(2 * outer - gap, gap, 10e-3, 0.0138, share)
        check(
            formula=f"thin annulus, {share:g} of the gap off centre: pi d c^3 (1 + 1.5 e^2) / (12 mu L)",
            source="limit of the exact eccentric annulus (Piercy, Hooper & Winny, from memory)",
            expected=exact,
            got=thin,
            tolerance=1e-4,
            unit="m3/s/Pa",
        )


def _annulus_by_elements(outer: float, inner: float, length: float, viscosity: float, offset: float) -> float:
    """Flow per pressure drop from ``mu laplace(u) = -dp/L`` on a mapped grid with curved quadratic cells."""
    from skfem import Basis, BilinearForm, ElementQuad2, LinearForm, MeshQuad, MeshQuad2, asm, condense, solve
    from skfem.helpers import dot, grad

    flat = MeshQuad2.from_mesh(MeshQuad.init_tensor(np.linspace(0, 1, 13), np.linspace(0, 1, 33)))
    angle, share = np.pi * flat.doflocs[1], flat.doflocs[0]
    start = np.vstack([inner * np.cos(angle) + offset, inner * np.sin(angle)])
    end = np.vstack([outer * np.cos(angle), outer * np.sin(angle)])
    mesh = MeshQuad2(start + share * (end - start), flat.t)
    basis = Basis(mesh, ElementQuad2(), intorder=6)

    @BilinearForm
    def stiffness(u, v, _):
        return dot(grad(u), grad(v))

    @LinearForm
    def load(v, _):
        return v

    force = asm(load, basis)
    walls = flat.facets_satisfying(lambda x: (x[0] < 1e-9) | (x[0] > 1 - 1e-9))
    found = solve(*condense(asm(stiffness, basis), force, D=basis.get_dofs(walls)))
    return 2.0 * float(force @ found) / (viscosity * length)
