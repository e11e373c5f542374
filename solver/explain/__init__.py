"""Reasons that hold: clashes, changes, adapters, measurements."""
