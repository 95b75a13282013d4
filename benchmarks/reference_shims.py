"""The shim stack once more, by a general finite-element library: the reference for tests and for speed.

scikit-fem's one-dimensional Hermite element in the axisymmetric plate form, every disc on its own (no
joining, no closed form, no path), contact at the vertices by a primal-dual active set on the sparse
saddle-point system, and non-negative least squares (SciPy) wherever that set does not settle.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular
from scipy.optimize import nnls
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementLineHermite, LinearForm, MeshLine

__all__ = ["ElementStack"]

Array = NDArray[np.float64]


class ElementStack:
    """Flat discs on a flat face, clamped; contact between neighbours, seat under disc 1.

    Parameters
    ----------
    discs : list of (outer_radius, thickness), m, the valve face first
    clamp_radius : float, m
    youngs_modulus, poisson : Pa, no unit
    load : (inner_radius, outer_radius) of the pressed annulus, m, or a ring radius (then loads are newtons)
    seat_radius : float, m
    rings : int, elements across the widest disc
    """

    def __init__(
        self,
        discs: list[tuple[float, float]],
        clamp_radius: float,
        youngs_modulus: float,
        poisson: float,
        load: tuple[float, float] | float,
        seat_radius: float,
        rings: int = 60,
    ) -> None:
        marks = {clamp_radius, seat_radius, *(radius for radius, _ in discs)}
        marks |= set(load) if isinstance(load, tuple) else {load}
        widest = max(radius for radius, _ in discs)
        even = np.linspace(clamp_radius, widest, rings + 1)
        fixed = np.array(sorted(mark for mark in marks if clamp_radius <= mark <= widest))
        apart = np.abs(even[:, None] - fixed).min(axis=1) > 0.3 * (even[1] - even[0])
        self.vertices = np.sort(np.concatenate([even[apart], fixed]))
        self.discs, self.seat_radius = discs, seat_radius

        stiffnesses, forces, self.lift_dofs, start = [], [], [], 0
        for number, (radius, thickness) in enumerate(discs):
            mesh = MeshLine(self.vertices[self.vertices <= radius * (1 + 1e-12)])
            basis = Basis(mesh, ElementLineHermite(), intorder=8)
            rigidity = youngs_modulus * thickness**3 / 12.0 / (1.0 - poisson**2)
            matrix = _plate_form(rigidity, poisson).assemble(basis)
            force = np.zeros(matrix.shape[0])
            if number == 0:
                if isinstance(load, tuple):
                    force = _pressure_form(*load).assemble(basis)
                else:
                    force[basis.nodal_dofs[0, int(np.argmin(np.abs(mesh.p[0] - load)))]] = 1.0
            order = np.argsort(mesh.p[0])
            lifts, held = basis.nodal_dofs[0, order], basis.nodal_dofs[:, order[0]]
            keep = np.setdiff1d(np.arange(matrix.shape[0]), held)
            place = np.full(matrix.shape[0], -1)
            place[keep] = start + np.arange(len(keep))
            stiffnesses.append(matrix[keep][:, keep])
            forces.append(force[keep])
            self.lift_dofs.append(place[lifts])
            start += len(keep)
        self.stiffness = sp.block_diag(stiffnesses, format="csc")
        self.force = np.concatenate(forces)
        self.contact, self.gap = self._contacts(start)

    def _contacts(self, size: int) -> tuple[sp.csr_matrix, Array]:
        rows, columns, signs, gaps = [], [], [], []
        for vertex in range(1, len(self.vertices)):
            present = [i for i, dofs in enumerate(self.lift_dofs) if vertex < len(dofs)]
            for lower, upper in pairwise(present):
                rows += [len(gaps), len(gaps)]
                columns += [self.lift_dofs[upper][vertex], self.lift_dofs[lower][vertex]]
                signs += [1.0, -1.0]
                gaps.append(sum(thickness for _, thickness in self.discs[lower + 1 : upper]))
        rows.append(len(gaps))
        columns.append(self.lift_dofs[0][self._seat_vertex()])
        signs.append(1.0)
        gaps.append(0.0)
        return sp.csr_matrix((signs, (rows, columns)), shape=(len(gaps), size)), np.array(gaps)

    def _seat_vertex(self) -> int:
        return int(np.argmin(np.abs(self.vertices - self.seat_radius)))

    def opening(self, loads: Array) -> Array:
        """Lift of disc 1 at the seat, m, for each load (Pa, or N for a ring load)."""
        active = np.zeros(len(self.gap), dtype=bool)
        lifts = []
        for load in loads:
            state, active = self._solve(float(load), active)
            lifts.append(state[self.lift_dofs[0][self._seat_vertex()]])
        return np.array(lifts)

    def _solve(self, load: float, active: NDArray[np.bool_]) -> tuple[Array, NDArray[np.bool_]]:
        for _ in range(12):
            touching = self.contact[active]
            system = sp.bmat([[self.stiffness, -touching.T], [touching, None]], format="csc")
            answer = splu(system).solve(np.concatenate([load * self.force, -self.gap[active]]))
            state, pressed = answer[: len(self.force)], np.zeros(len(self.gap))
            pressed[active] = answer[len(self.force) :]
            gap = self.contact @ state + self.gap
            slack = 1e-12 * (np.abs(state).max() + 1e-9)
            following = np.where(active, pressed > -1e-9 * (np.abs(pressed).max() + 1e-9), gap < -slack)
            if np.array_equal(following, active):
                return state, active
            active = following
        return self._by_least_squares(load)

    def _by_least_squares(self, load: float) -> tuple[Array, NDArray[np.bool_]]:
        factor = splu(self.stiffness)
        spread = factor.solve(self.contact.T.toarray())
        free = factor.solve(load * self.force)
        matrix, side = self.contact @ spread, self.contact @ free + self.gap
        scale = 1.0 / np.sqrt(np.diagonal(matrix))
        matrix = matrix * scale[:, None] * scale + 1e-13 * np.eye(len(scale))
        lower = cholesky(matrix, lower=True)
        pressed, _ = nnls(
            lower.T, -solve_triangular(lower, side * scale, lower=True), maxiter=100 * len(scale)
        )
        return free + spread @ (pressed * scale), pressed > 0.0


def _plate_form(rigidity: float, poisson: float) -> BilinearForm:
    @BilinearForm
    def form(u, v, w):  # type: ignore[no-untyped-def]
        r = w.x[0]
        bend_u, bend_v, hoop_u, hoop_v = u.hess[0, 0], v.hess[0, 0], u.grad[0] / r, v.grad[0] / r
        return (
            2.0
            * np.pi
            * r
            * rigidity
            * (bend_u * bend_v + hoop_u * hoop_v + poisson * (bend_u * hoop_v + hoop_u * bend_v))
        )

    return form


def _pressure_form(inner_radius: float, outer_radius: float) -> LinearForm:
    @LinearForm
    def form(v, w):  # type: ignore[no-untyped-def]
        r = w.x[0]
        return 2.0 * np.pi * r * ((r > inner_radius) & (r < outer_radius)) * v

    return form
