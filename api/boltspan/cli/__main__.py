"""``python -m boltspan.cli``: the same as the command ``boltspan``."""

import sys

from boltspan.cli import main

sys.exit(main())
