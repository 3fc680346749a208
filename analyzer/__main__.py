"""``python -m analyzer``: the same as the command ``analyzer``."""

import sys

from analyzer.cli import main

if __name__ == "__main__":
    sys.exit(main())
