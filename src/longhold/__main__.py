"""``python -m longhold`` does what the command ``longhold`` does."""

import sys

from longhold.cli.main import run

if __name__ == "__main__":
    sys.exit(run())
