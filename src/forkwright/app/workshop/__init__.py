"""The workshop's book in the browser: board, jobs, units, papers. Each part is imported when asked for."""
