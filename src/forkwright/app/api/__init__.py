"""JSON calls that several pages share, or that are too many for their page's module.

`shapes` tells what the first of them answer; `common` has files and the sign of life, `jobs_api` the heavy
work, `courses_api` and `leverage_api` what is ridden and through what, `evidence_api` files of measurements,
`blind_api` the blind test; what else is asked about one unit: `dyno_api`, `revalve_api` and
`loose_stack_api` about its damper, `hose_chassis_api`, `stated_load_api` and `papers_api` beside its curves.
"""
