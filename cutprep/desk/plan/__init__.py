"""The job file as the page sees it: `jobfile` changes it, `keys` one key at a time; `resolved` says what each comes to."""
