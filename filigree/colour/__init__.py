"""Colour: palettes, contrast, colour vision."""
