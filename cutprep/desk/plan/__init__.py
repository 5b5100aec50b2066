"""The job file as the page sees it: `jobfile` changes it key by key, `resolved` says what each key comes to."""
