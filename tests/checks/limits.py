"""Limits of a plain job, for the checks."""

from dataclasses import replace

import msgspec

from filigree.job import Job, limits_of


def limits(*, thickness=2.4, way="knife", **changes):
    """Limits of a face of one thickness, mm, and what the test changes."""
    job = Job()
    face = msgspec.structs.replace(job.face, thickness=f"{thickness!r} mm")
    cut = msgspec.structs.replace(job.cut, way=way)
    return replace(limits_of(msgspec.structs.replace(job, face=face, cut=cut)), **changes)
