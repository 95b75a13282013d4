"""The questions: compare, match, recommend, stages, balance, and which measurement matters.

Begin at the module of that name; `aims` and `goal` say what is wished for, `use` what counts, `search` how
settings are looked through. Drawing is left to the room `sheets`. See docs/tune.md.
"""
