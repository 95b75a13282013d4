"""The workshop's book: customers, bikes, units and jobs, their history, and the one store that keeps them.

Start reading at `store` (opening, changing, looking), then `records` and `records_job` (what is kept),
`jobs`, `inspection` and `job_book` (the work), `history` and `verify` (the audit trail), `backup` and
`export` (in and out), `accounts` (sharing). No physics here.
"""
