"""The bench sheet: figures that follow from a list, and the order of the work."""
