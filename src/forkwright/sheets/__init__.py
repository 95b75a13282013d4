"""What leaves the building: cut-away drawings, plots, reports, cards and spreadsheets.

Read in this order:

drawings  `geometry` (where parts lie and what moves them) from `sizes`; `legs` of `leg_shell`, `leg_air` and
          `leg_damper`; `shock` of `shock_body`, `shock_can`, `shock_coil` and `piggyback`; `cutaway` (as SVG)
          with `cutaway_parts`, `cutaway_names`, `cutaway_style`, `cutaway_data` (to move it), `paints` and
          `labels`, as a file by `cutaway_of_unit`; `side_view`, `shim_shapes`, `shim_drawing`, `map_drawing`
charts    `chart` (lines and axes), `charts` (on a page), `chart_print` (on paper), `palette`
reports   `document` (their blocks), `html_report` and `pdf_report` (their writers); `compare_report` with
          `compare_charts`, `compare_drawings`, `compare_words` and `compare_damper_report`; `job_report` and
          `job_curves`; `trial_report`
cards     `setup_card`, `card_of_unit`, `card_day`, `pressure_book`, `job_papers`; `stage_card`,
          `card_of_stages`
print     `typst_print`, `fonts`, `files`

Nothing is computed here that bench, ride or tune already give.
"""
