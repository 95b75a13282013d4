"""A disc that bends and stretches, cut into ring elements.

Lift ``w`` and radial shift ``u`` are cubic (Hermite) in each ring, so that lift, slope, shift and radial
strain run on from ring to ring. Bending is that of :mod:`forkwright.physics.plates`; stretching is von
Karman's: a radius that tilts by ``w'`` gets longer by ``w'^2 / 2``, a circle moved out by ``u`` gets longer
by ``u / r``. Clamp: no lift, no slope, no shift. Rim: free.

Unknowns are ordered ``w, w', u, u'`` at each node, the clamp first. Forces are those of the whole ring.

Source
------
Timoshenko & Woinowsky-Krieger, *Theory of Plates and Shells*, 2nd ed., sections 96-97 (strains of large
deflection of circular plates; from memory). Elements derived.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from forkwright.physics.ring_elements import LIFT, RingShapes, hermite
from forkwright.physics.values import Array

_PER_NODE = 4
_HELD = [0, 1, 2]  # w, w' and u at the clamp; u' is free there
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(5)


@dataclass(frozen=True)
class StretchingDisc:
    """One disc, or several equal ones that move together.

    Attributes
    ----------
    radius : ndarray, shape (n,)
        Nodes from the clamp to the rim, m.
    thickness : float
        Of one disc, m.
    layers : int
        How many equal discs move together.
    youngs_modulus, poisson : float
        Pa, no unit.
    free_slope : float
        Slope of the unloaded disc before it is clamped (a cone), no unit.
    stretches : bool
        False leaves the tilt out of the strains: linear theory on the same elements.
    """

    radius: Array
    thickness: float
    layers: int
    youngs_modulus: float
    poisson: float
    free_slope: float = 0.0
    stretches: bool = True

    @property
    def unknowns(self) -> int:
        """Number of unknowns, the held ones at the clamp included."""
        return _PER_NODE * len(self.radius)

    def energy(self, state: Array) -> float:
        """Elastic energy (J) of a state (m, 1, m, 1 at each node)."""
        strain, bend = self._strains(state)
        return 0.5 * float(
            np.sum(self._area * np.sum(strain * self._tension(strain) + bend * self._moment(bend), axis=-1))
        )

    def internal_force(self, state: Array) -> Array:
        """Forces and moments (N, N m) that hold a state: the derivative of the energy."""
        strain, bend = self._strains(state)
        tension = self._area[..., None] * self._tension(strain)
        moment = self._area[..., None] * self._moment(bend)
        per_ring = np.einsum("eqa,eqai->ei", tension, self._strain_rows(state))
        per_ring += np.einsum("eqa,eqai->ei", moment, self._bend_rows)
        return self._gathered(per_ring)

    def compliance(self, state: Array) -> tuple[Array, bool]:
        """Factor of the tangent stiffness at a state, for :meth:`respond`.

        Where compression would make the tangent unstable (far from balance) only the tension's part is kept.

        Raises
        ------
        numpy.linalg.LinAlgError
            If the disc is about to snap through.
        """
        strain, _ = self._strains(state)
        rows = self._strain_rows(state)
        stiff = self._bending + np.matmul(
            rows.reshape(len(rows), -1, 8).transpose(0, 2, 1),
            (self._area[..., None, None] * self._membrane * (self._plane @ rows)).reshape(len(rows), -1, 8),
        )
        if not self.stretches:
            return self._factor(stiff)
        pull = (self._area * self._tension(strain)[..., 0])[..., None]
        tilt = self._tilt_row
        try:
            return self._factor(stiff + np.matmul(tilt.transpose(0, 2, 1), pull * tilt))
        except np.linalg.LinAlgError:
            return self._factor(stiff + np.matmul(tilt.transpose(0, 2, 1), np.maximum(pull, 0.0) * tilt))

    @staticmethod
    def respond(factor: tuple[Array, bool], force: Array) -> Array:
        """Change of state under a change of force (N, N m), for a factor from :meth:`compliance`."""
        from scipy.linalg import cho_solve_banded

        return np.asarray(cho_solve_banded(factor, force, check_finite=False))

    def pressure_force(self, inner_radius: float, outer_radius: float) -> Array:
        """Forces (N, N m per Pa) of even pressure between two radii (m)."""
        start = np.clip(inner_radius, self.radius[:-1], self.radius[1:])
        end = np.clip(outer_radius, self.radius[:-1], self.radius[1:])
        at = (start + end)[:, None] / 2.0 + (end - start)[:, None] / 2.0 * _POINTS
        weight = np.pi * at * (end - start)[:, None] * _WEIGHTS
        length = np.diff(self.radius)[:, None]
        shape = hermite((at - self.radius[:-1, None]) / length, length)[0]
        per_ring = np.zeros((len(shape), 2 * _PER_NODE))
        per_ring[:, LIFT] = np.einsum("eq,eqi->ei", weight, shape)
        return self._gathered(per_ring)

    def surface_stresses(self, state: Array) -> tuple[Array, Array]:
        """Radial and tangential stress (Pa) on both faces (axis 0) at both ends of every ring."""
        ends = RingShapes.at(self.radius, np.array([-1.0, 1.0]))
        at_ends = self._elements(state)
        tilt = np.einsum("eqi,ei->eq", ends.tilt, at_ends)
        strain = np.einsum("eqai,ei->eqa", ends.strain, at_ends)
        strain[..., 0] += 0.5 * self.stretches * (tilt**2 - self.free_slope**2)
        bend = np.einsum("eqai,ei->eqa", ends.bend, at_ends)
        bend[..., 1] -= self.free_slope / ends.radius
        modulus = self.youngs_modulus / (1.0 - self.poisson**2)
        middle = modulus * strain @ self._plane
        bent = modulus * self.thickness / 2.0 * bend @ self._plane
        faces = np.stack([middle + bent, middle - bent])
        return faces[..., 0], faces[..., 1]

    @cached_property
    def _shapes(self) -> RingShapes:
        return RingShapes.at(self.radius, _POINTS)

    @cached_property
    def _area(self) -> Array:
        return 2.0 * np.pi * self._shapes.radius * np.diff(self.radius)[:, None] / 2.0 * _WEIGHTS

    @cached_property
    def _plane(self) -> Array:
        return np.array([[1.0, self.poisson], [self.poisson, 1.0]])

    @property
    def _membrane(self) -> float:
        return self.layers * self.youngs_modulus * self.thickness / (1.0 - self.poisson**2)

    @property
    def _rigidity(self) -> float:
        return self._membrane * self.thickness**2 / 12.0

    @property
    def _tilt_row(self) -> Array:
        return self._shapes.tilt

    @property
    def _bend_rows(self) -> Array:
        return self._shapes.bend

    @cached_property
    def _bending(self) -> Array:
        weighted = (self._area[..., None, None] * self._rigidity) * (self._plane @ self._bend_rows)
        bending: Array = np.einsum("eqai,eqaj->eij", self._bend_rows, weighted)
        return bending

    def _elements(self, state: Array) -> Array:
        nodes = state.reshape(-1, _PER_NODE)
        return np.hstack([nodes[:-1], nodes[1:]])

    def _strains(self, state: Array) -> tuple[Array, Array]:
        """Stretch and change of curvature (radial, tangential) at the points of every ring."""
        rings = self._elements(state)
        strain = np.einsum("eqai,ei->eqa", self._shapes.strain, rings)
        if self.stretches:
            tilt = np.einsum("eqi,ei->eq", self._tilt_row, rings)
            strain[..., 0] += 0.5 * (tilt**2 - self.free_slope**2)
        bend = np.einsum("eqai,ei->eqa", self._bend_rows, rings)
        bend[..., 1] -= self.free_slope / self._shapes.radius
        return strain, bend

    def _strain_rows(self, state: Array) -> Array:
        """How the stretch changes with the unknowns."""
        if not self.stretches:
            return self._shapes.strain
        rows = self._shapes.strain.copy()
        tilt = np.einsum("eqi,ei->eq", self._tilt_row, self._elements(state))
        rows[:, :, 0] += tilt[..., None] * self._tilt_row
        return rows

    def _tension(self, strain: Array) -> Array:
        return np.asarray(self._membrane * strain @ self._plane)

    def _moment(self, bend: Array) -> Array:
        return np.asarray(self._rigidity * bend @ self._plane)

    def _gathered(self, per_ring: Array) -> Array:
        """Add the forces of all rings (e, 8) up at their nodes; none is kept where the clamp holds."""
        force = np.zeros((len(self.radius), _PER_NODE))
        force[:-1] += per_ring[:, :_PER_NODE]
        force[1:] += per_ring[:, _PER_NODE:]
        force[0, : len(_HELD)] = 0.0
        return force.ravel()

    def _factor(self, rings: Array) -> tuple[Array, bool]:
        from scipy.linalg import cholesky_banded

        return cholesky_banded(self._banded(rings), lower=True, check_finite=False), True

    def _banded(self, rings: Array) -> Array:
        """Gather ring matrices (e, 8, 8) into the lower bands of the whole disc; hold the clamp."""
        stacked = np.zeros((2 * _PER_NODE, len(self.radius), _PER_NODE))
        for i in range(2 * _PER_NODE):
            for j in range(i + 1):
                node = j // _PER_NODE
                stacked[i - j, node : node + len(rings), j % _PER_NODE] += rings[:, i, j]
        bands = stacked.reshape(2 * _PER_NODE, -1)
        for held in _HELD:
            bands[:, held] = 0.0
            bands[0, held] = 1.0
            for row in range(1, held + 1):
                bands[row, held - row] = 0.0
        return bands
