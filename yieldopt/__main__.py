"""`python -m yieldopt`."""

import sys

from yieldopt.cli import main

# A helper process started by one of ours reads this file again.
if __name__ == "__main__":
    sys.exit(main())
