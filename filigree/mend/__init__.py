"""Mending: the smallest change that makes the checks pass."""
