"""`python -m scenelux`."""

from scenelux.cli import main

main()
