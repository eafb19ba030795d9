"""Parts of an area, the main one first."""

import numpy as np
import shapely
from shapely import Polygon

from filigree.geometry.types import Area

DUST = 1e-4  # mm2: less is left over from noding


def pieces(area: Area) -> list[Polygon]:
    """Parts of an area, the main (largest) one first, the others in its order; dust is left out."""
    parts = [p for p in shapely.get_parts(area).tolist() if p.area > DUST]
    main = int(np.argmax([p.area for p in parts])) if parts else 0
    return parts[main : main + 1] + parts[:main] + parts[main + 1 :]
