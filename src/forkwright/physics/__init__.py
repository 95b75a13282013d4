"""How things behave: pure functions and small value classes on SI floats and arrays.

Imports nothing else of forkwright; no files, no unit text, no plots. What nature would not give is refused
with `Unphysical`. In what order to read it:

- common ground: `constants`, `values`, `errors`;
- air: `gas`, `atmosphere`, `floating_piston`, `air_spring`; trading heat with the walls, `gas_thermal`;
- coils and stops: `helix`, `bumpers`;
- what rubs and what flexes: `friction`, `tubes`;
- oil: `oil`, `viscosity_index`, `oil_air`;
- its ways: `orifice`, `annular_gap`, `needle`, `curtain`, then `damper_valve`, `reservoir`, `damper_circuit`;
- one disc: `plates`, `coned_disc`, `plate_stress`; once it stretches, `ring_elements`, `plate_elements`;
- a stack of discs: `shim_stack` says what it is and `shims` what it does, by way of `shim_groups`,
  `shim_bends`, `shim_contact`, `shim_path`, `contact_table`, `shim_stiffening`, `shim_answer`,
  `shim_warnings`, `shim_shapes`;
- the bike around it: `leverage`, `pitch`, `tyre`, `road`, `hand_weighting`.

A few closed forms (in `gas`, `gas_thermal`, `oil_air`, `annular_gap`, `pitch`) have no caller in another
room: they are the laws that compiled loops and short cuts are held to by the tests.
"""

from forkwright.physics.constants import G0, P0, T0
from forkwright.physics.errors import Unphysical

__all__ = ["G0", "P0", "T0", "Unphysical"]
