"""Ride logs and bench traces for their pages: files brought in, what their columns mean, what they show.

Read `shelf` first (where files lie, and whose they are), then `questions` and `reading` (from a file to a
recording, by `channels`: what a column can mean). `rides` and `benches` answer; `fit_changes` turns fitted
values into changes of the file. `answer_shapes` describes what is answered at once; all else comes by jobs.
"""
