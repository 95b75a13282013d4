"""Courses, the time-stepping kernel, scores, and sweeps over many settings.

A ride never chooses a setting: that is the room `tune`. In what order to read it:

- one ride: `simulate`, told by `options`, with what `tables` reads in place of a damper or a linkage; `hits`
  finds its deepest strokes;
- the course: `course_plan` is the file, `events` and `profile` what lies in it, `course_layout` lays it
  out, `course_file` reads it, `course` is what comes of it; `wheel_road` is what a wheel meets of it in
  time;
- from unit to kernel: `build` collects `parameters`, with `damping` for the damper and `leverage_table`
  for a shock; `step` chooses the time step;
- the compiled kernel: `state`, `unit_forces` between wheel and bike, `motion` the equations, `kernel` the
  steps, `rest` where it begins; `compiled` how;
- what comes out: `scores`, `audit` of the energy;
- many settings: `settings_table` and `settings_text`, `sweep` cut into portions by `portion`, worked on
  by `engines` with what is `kept`; `pool` is the same for a search that looks before its next batch;
- both ends of the bike: `pitch`, with `pitch_layout`, `pitch_ends`, `pitch_options`, `pitch_road`,
  `pitch_rest`, `pitch_build`, `pitch_kernel`, `pitch_scores`; `attitude` how a bike stands on a slope.

`answers` holds the published form. See docs/ride.md and docs/rear.md.
"""
