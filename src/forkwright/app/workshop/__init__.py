"""The workshop's book in the browser: board, jobs, units, papers. Each part is imported when asked for.

Read `people`, `door` and `desk` first (who asks, the way to the store, what a request works with), and
`routes` (the store's troubles as answers). Then `views`, what is shown; `questions`, what is sent;
`job_writing` and `book_writing`, what that changes; `papers`. The calls stand in `job_api`, `book_api` and
`paper_api`, put together by `api`; `job_shapes` and `book_shapes` describe what they answer.
"""
