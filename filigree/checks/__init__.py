"""Checks: measures against limits, one file a check."""

from filigree.checks.finding import Finding
from filigree.checks.judge import CHECKS, judge

__all__ = ["CHECKS", "Finding", "judge"]
