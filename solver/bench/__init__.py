"""The figures and the order of work for the bench."""
