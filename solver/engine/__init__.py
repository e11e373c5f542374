"""Exact counting and search over tables; it knows no bicycle."""
