"""One command of the command line a file, each with `command`; found by name from `cli`.

A command reads its options (`options`, `people_options`, `ride_options`, `tune_options`, `import_options`),
calls one room below and prints (`output`, `progress`): no engineering formula stands here. The groups `job`,
`shop` and `trial` only gather their commands; those stand in files named after them, such as `job_intake`.
"""
