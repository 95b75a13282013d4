"""The virtual bench: hardware and a setting in, curves out, with tolerances carried as bands.

No time on a trail passes here. In what order to read it:

- the day: `conditions`;
- the spring: `spring` gives the curve from `chambers`, `lower_legs`, `coil` and `friction`; `bands` asks
  it for thousands of drawn units; `checks` says what a sound file still deserves a remark for; `hose`
  reads back;
- where it rests: `sag` under any load, `loads` of rider and brake, `standing` of rider and bike; `chassis`
  bends and presses the bushings;
- the damper at steady speeds: `damper_setup` checks what is asked, `damper_model` builds the circuit from
  `damper_oil`, `damper_reservoir`, `damper_ways` (numbers by `given`) and `stack_maps`; `damping` is the
  curve, `valve_state` one speed of it, `gas_push` the shaft at rest; asked again: `damping_variations`
  for clicks, `damping_bands` for draws, `damper_difference` and `nearest_clicks` for two dampers;
  `loose_stack` is a stack by itself;
- the dynamometer: `dyno` moves, `dyno_run` steps through it with `dyno_tables` and `dyno_parts`,
  `dyno_kernel` holds the equations, `dyno_result` what comes out;
- a shock at the rear wheel: `rear_linkage`, then `rear_spring`, `rear_sag`, `rear_damping`.

Files that end in "answer" or "answers" hold the published form.
"""

from forkwright.bench.conditions import Conditions
from forkwright.bench.spring import SpringCurve, spring_curve

__all__ = ["Conditions", "SpringCurve", "spring_curve"]
