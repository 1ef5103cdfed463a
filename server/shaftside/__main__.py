"""`python -m shaftside`."""

import sys

from shaftside.cli import main

sys.exit(main())
