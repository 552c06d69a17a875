"""The notebook in the browser: parse, call the desk, show. No arithmetic, no SQL."""
