"""Blind trials in the workbench: who may see what, by a link of their own for every person.

Read `seats` first (the links, and whose they are), then `desk` (trials planned and found again), `questions`
and `sizing`; then what a link shows (`seen`), takes (`taking`) and finds in the end (`outcome`).
`answer_shapes` and `seat_shapes` describe it all. What a trial is stands in the room `trial`.
"""
