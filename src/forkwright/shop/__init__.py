"""The workshop's book: customers, bikes, units and jobs, their history, and the one store that keeps them.

Read in this order:

the store  `store` (opening, changing, looking) on `engine` and `migrate`, `troubles`, `conflicts`
the book   `records`, `records_job` and `records_accounts` (what is kept) in `columns`, `words` and `typed`
           (how it may be typed), `tables`
the work   `intake`, `register`, `jobs`, `job_book`, `inspection`, `service`, `job_changes`, `cards`,
           `pictures`, `file_texts`
looking    `views` (a job), `timeline` (a unit), `search`
the trail  `history` (every change), `verify` (is the store sound)
in and out `dump` (all rows), `loading`; `backup`, `backup_file` and `restore`; `export`, `formats`
           (`formats_csv`, `formats_sheet`, `formats_tables`)
sharing    `accounts`, `accounts_signin`, `accounts_sessions`

No physics here.
"""
