"""Joints of this area."""
