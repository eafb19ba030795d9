"""Measures: one file a measure; geometry in, figures out. Knows no limits."""
