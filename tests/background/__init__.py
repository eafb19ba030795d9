"""Tests of the background choice."""
