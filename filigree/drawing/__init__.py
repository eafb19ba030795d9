"""Readers: art in, `Drawing` out, in mm, as the eye sees it."""
