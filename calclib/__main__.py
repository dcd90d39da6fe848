"""Run the command line as ``python -m calclib``."""

import sys

from calclib.cli import main

sys.exit(main())
