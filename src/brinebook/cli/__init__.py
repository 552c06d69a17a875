"""Command line: parse, call the desk, show. No arithmetic, no SQL."""
