"""The command line: parses, calls the desk, shows. No arithmetic, no SQL."""

import os

# Before numpy is loaded: our matrices are small, and threads that wait for each other make an
# answer several times slower where anything else runs.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
