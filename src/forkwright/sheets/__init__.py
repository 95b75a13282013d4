"""What leaves the building: cut-away drawings, plots, reports, cards and spreadsheets.

Begin at `cutaway` (the drawing) and `legs` (where its parts lie), `chart`, `compare_report`, `setup_card` and
`job_papers`. Nothing is computed here that bench, ride or tune already give.
"""
