"""Match, Recommend, Stages and Uncertainty for the pages: questions in, jobs out, the answers of `tune`.

Read `questions` first, with `courses` (ridden), `logged` (really ridden), `ride_fields` (how it is ridden)
and `drawer` (the shims at hand) that they name; then the jobs: `match_job`, `search_jobs` (recommend and
stages), `uncertainty_job`.
"""
