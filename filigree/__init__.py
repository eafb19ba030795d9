"""Filigree: from a drawing to the plies of a lined filigree leather piece.

Nothing heavy is imported here; the public names live in `filigree.pipeline`.
"""

__version__ = "0.1.0"
