"""Lets `python -m webapp.cli` be the command `clockyard`.

Knows nothing else.
"""

from . import main

main()
