"""Odd ways to make a piece, in place of the right one, by the name of the drawing."""

import os
import signal
import time
from pathlib import Path

from shapely.errors import GEOSException

from filigree.batch.making import piece


def odd(task):
    """Die, fail, or take an hour, as the drawing is called; else make the piece."""
    if "killer" in task.art:
        os.kill(os.getpid(), signal.SIGKILL)
    if "geos" in task.art:
        raise GEOSException("TopologyException: side location conflict")
    if "key" in task.art:
        raise KeyError("vein")
    if "hour" in task.art:
        (Path(__file__).parent / os.environ["ODD_BEGUN"]).touch()
        time.sleep(3600)
    return piece(task)
