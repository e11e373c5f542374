"""What goes together, and why. Import from its modules, for instance ``solver.questions``."""
