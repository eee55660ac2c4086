"""``python -m finishplan``: the same as the command."""

import sys

from finishplan.cli import main

sys.exit(main())
