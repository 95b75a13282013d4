"""One command of the command line a file, each with `command`; found by name from `cli`.

A command reads its options (`options`, `ride_options`, `tune_options`, `import_options`), calls one room
below and prints (`output`): no engineering formula stands here.
"""
