"""Checks: one file a check; measures and limits in, findings out. Knows limits, no geometry."""
