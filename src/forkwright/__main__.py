"""`python -m forkwright` is the command line."""

from forkwright.cli import main

main()
