"""Storage: the only room that knows SQL.

`store` opens and makes books, `facts` appends and reads facts with their revisions, `history_csv`,
`probes_csv` and `description` are the doors for files, `backup` copies whole books, `kept` is a
cache for others' results. Nothing here reads the clock: every write is told the time.
"""
