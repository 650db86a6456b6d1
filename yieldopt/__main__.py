"""`python -m yieldopt`."""

import sys

from yieldopt.cli import main

sys.exit(main())
