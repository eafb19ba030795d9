"""Output: one file a format; geometry is finished before it gets here."""
