"""The questions: compare, match, recommend, stages, balance, revalve, and which measurement matters.

Each question is a module of that name, and what it answers with is read from there down:

* `compare` (with `compare_damper`, `compare_wheel`, `spring_figures`, `verdict`, `damping_verdict`): two
  units side by side, where they are `alike` enough;
* `match`: one unit's feel on another; `use` is the weight of travel and speed, `nearest_spring` and
  `nearest_coil` find the spring over `spring_grid`, in `pump_steps`; `match_bands` (of `paired_draws`,
  `drawn_spring`, `drawn_damping`), `match_sureness`, `match_reasons` and `match_neighbours` say how sure, why
  and how flat, `match_revalve` goes on to the stack;
* `recommend` and `stages`: `adjusters` says what can be set, `aims`, `judged` and `goal` what is wished for
  and how a ride is judged by it, `search` how settings are looked through over `step_moves`, `stage_search`
  for a day of `stage_days`; `logged_courses` weighs courses by a log; `drawn_rides`, `adjuster_band` and
  `stage_bands` draw the parts, `recommend_sureness` tells it; `obstacles` names what stops it; what is found:
  `recommendation` and `race_plan`, by `option_teller`, `stage_teller`, `step_changes` and `search_told`;
* `balance`: both ends, each by `balance_ends`, and `balance_advice` on what to change;
* `revalve`: stacks from the drawer (`stack_pile`) for one valve (`valve_bench`) and `revalve_targets`;
* `uncertainty`: bands and variance shares by `variance`;
* `blind_limits`: whether a blind setting may be ridden.

Files that end in "answer" hold the published form, files that end in "words" the sentences, made of what
`naming` calls things. Drawing is left to the room `sheets`. See docs/tune.md.
"""
