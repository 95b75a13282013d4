"""Ride logs and bench traces for their pages: files brought in, what their columns mean, what they show.

Read `shelf` first (where files lie, and whose they are), then `questions`, `reading` (from a file to a
recording, by `channels`: what a column can mean); then `rides` and `benches`, which answer. `answer_shapes`
describes what is answered at once; the rest are results of jobs.
"""
