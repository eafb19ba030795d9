"""Background or motif: which regions are cut out."""

from filigree.regions.background.choose import choose

__all__ = ["choose"]
