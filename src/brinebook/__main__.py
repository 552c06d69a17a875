"""So that ``python -m brinebook`` is the same as ``brinebook``."""

import sys

from brinebook.cli.main import main

sys.exit(main())
