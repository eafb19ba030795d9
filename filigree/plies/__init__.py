"""Plies: inlay patches, backing, stitch line, pins, kerf and the order of cuts."""
