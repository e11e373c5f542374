"""``python -m solver`` is the command ``fitwright``."""

from solver.cli import main

main()
