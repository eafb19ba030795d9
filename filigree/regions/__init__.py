"""Regions: the enclosed fields of a drawing, their neighbours, and which of them are background."""
