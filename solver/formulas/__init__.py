"""Pure, exact arithmetic of the workshop, with its sources; rules and bench sheet use the same functions."""
