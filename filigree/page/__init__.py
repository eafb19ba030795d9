"""The local page, on the public API only."""
