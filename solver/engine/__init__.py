"""Exact counting and search over sparse tables of integers; what they mean is the caller's affair."""
