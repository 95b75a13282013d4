"""What was measured: bench traces, leak-downs and ride logs; and fitting the hardware to them.

Read it as a measurement passes through:

* `tables` opens a file: text by `text_layout` and `textfiles`, `spreadsheets`, `parquet`, within `limits`;
  `broken_files` says what could not be read;
* `mapping` says which column means what, from `headers` and `guesses`; `mapping_files` keeps it;
* `importing` makes a `recording` of it, on one `clock`, with its `faults` named;
* bench: `trace_reading` takes `traces` out of a recording, `friction_loop` parts them over their `strokes`;
  `fit_choice` says what can be fitted, `unit_fit` fits it, `write_back` writes it; `fitting` is the fit
  itself (`fit_problem`, `fit_search`, `losses`), `telling_apart` says what it cannot tell;
* leaks: `leakdown` by the `leak_law`, `leak_path` for the way, `ingress` for the lowers, `leak_files` for
  their files;
* rides: `signals`, then `ride_log` with `ride_use`; `compare_runs` by `bootstrap`, `spectra`, `overlay`,
  `course_shares`, `windows` for the screen.

Files that end in "answers" hold the published form; `export` writes tables; `demo_logs` makes the invented
ones. See docs/evidence.md.
"""
