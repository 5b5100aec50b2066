"""The job file as the page sees it: `jobfile` changes it (`placing` where copies lie, `keys` one key at a time).

`resolved` says what each key comes to; `taking` refuses what the job could not be begun with.
"""
