"""Drawings with wide ink whose meaning is known: silhouettes and pierced sheets, or black where it is cut."""

from random import Random

import numpy as np
import shapely
from shapely import affinity

from tests.make.clipart_forms import bezier, blob, brush, disc, leaf, shield, swell


def _svg(forms):
    """Fills of (shape, dark) in order, 100 x 100 mm."""
    body = []
    for shape, dark in forms:
        rings = [
            np.asarray(ring.coords)
            for part in shapely.get_parts(shape)
            for ring in (part.exterior, *part.interiors)
        ]
        d = " ".join("M" + " ".join(f"{x:.3f},{y:.3f}" for x, y in ring) + "Z" for ring in rings)
        body.append(f'<path fill="{"#000" if dark else "#fff"}" fill-rule="evenodd" d="{d}"/>')
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    return (head + "".join(body) + "</svg>").encode()


def _spread(rng, count, low, high, apart):
    """Points at least so far apart."""
    points = []
    for _ in range(2000):
        at = (rng.uniform(low, high), rng.uniform(low, high))
        if all(np.hypot(at[0] - x, at[1] - y) >= apart for x, y in points):
            points.append(at)
        if len(points) == count:
            break
    return points


def silhouette(seed):
    """Leather: one dark body with limbs, light details cut through it."""
    rng = Random(seed)
    body = [blob((50, 50), 26, rng)]
    for turn in np.linspace(0, 6.28, 8)[:-1]:
        end = (50 + 44 * np.cos(turn), 50 + 44 * np.sin(turn))
        body.append(brush(bezier((50, 50), (55, 45), end, end), rng.uniform(8, 12), 2))
    forms = [(shapely.union_all(body), True)]
    for x, y in _spread(rng, rng.randrange(3, 9), 36, 64, 8):
        curve = bezier((x - 3, y), (x, y + 2), (x + 2, y - 2), (x + 3, y))
        forms.append((swell(curve, rng.uniform(1.2, 2.4)), False))
    return _svg(forms)


def pierced(seed):
    """Leather: a dark sheet with light leaves cut out of it."""
    rng = Random(seed)
    sheet = shield((50, 50), 88, 92) if rng.random() < 0.5 else disc((50, 50), 46)
    forms = [(sheet, True)]
    forms += [
        (affinity.translate(leaf((0, 0), 10, 6, rng.uniform(0, 6), rng), *at), False)
        for at in _spread(rng, rng.randrange(6, 12), 28, 70, 13)
    ]
    return _svg(forms)


def pockets(seed):
    """Cut: dark pockets apart from one another inside an outline drawn as a line."""
    rng = Random(seed)
    edge = disc((50, 50), 46) if rng.random() < 0.5 else shapely.box(4, 4, 96, 96)
    forms = [(edge, True), (edge.buffer(-rng.uniform(0.3, 0.9)), False)]
    forms += [
        (blob(at, rng.uniform(4, 5.5), rng), True)
        for at in _spread(rng, rng.randrange(6, 14), 24, 76, 15)
    ]
    return _svg(forms)


def filled_ground(seed):
    """Cut: the ground between light shapes that cross from edge to edge is dark, their own edges are lines."""
    rng = Random(seed)
    forms = [(shapely.box(4, 4, 96, 96), True), (shapely.box(8, 8, 92, 92), False)]
    inner = shapely.box(8.6, 8.6, 91.4, 91.4)
    forms.append((inner, True))
    stems = []
    for k in range(rng.randrange(3, 5)):
        y = 20 + 22 * k + rng.uniform(-2, 2)
        stems.append(
            shapely.LineString(bezier((4, y), (35, y - 14), (60, y + 14), (96, y))).buffer(4)
        )
    stems.append(shapely.box(46, 4, 54, 96))
    whole = shapely.union_all(stems)
    forms.append((whole.intersection(shapely.box(4, 4, 96, 96)), False))
    rim = shapely.box(4, 4, 96, 96)
    forms.append((rim.difference(rim.buffer(-0.6, join_style="mitre")), True))
    forms.append((rim.buffer(-0.6, join_style="mitre").difference(inner), False))
    return _svg(forms)


LEATHER = {"silhouette": silhouette, "pierced": pierced}
CUT = {"pockets": pockets, "filled ground": filled_ground}


def family_darks(made):
    """One made drawing in black and white: its leather black, its ground black, and that with all lines."""
    ground = shapely.union_all(made.background)
    both = shapely.union_all([*made.motif, ground]).buffer(0.02).buffer(-0.02)
    leather = shapely.union_all([*made.motif, both]).difference(ground)
    pen = 'fill="none" stroke="#000" stroke-width="0.4"'
    lines = " ".join("M" + _points(line) for line in made.drawing.lines)
    black = f'<path d="{_outlines(ground)}" fill-rule="evenodd"/>'
    page = made.drawing
    return {
        "leather black": _page(page, f'<path d="{_outlines(leather)}" fill-rule="evenodd"/>'),
        "ground black": _page(page, black + f'<path d="{_outlines(both)}" {pen}/>'),
        "ground black, all lines": _page(page, black + f'<path d="{lines}" {pen}/>'),
    }


def _page(page, body):
    size = (
        f'width="{page.width}mm" height="{page.height}mm" viewBox="0 0 {page.width} {page.height}"'
    )
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>'.encode()


def _outlines(area):
    rings = [
        ring
        for part in shapely.get_parts(area)
        if part.geom_type == "Polygon"
        for ring in (part.exterior, *part.interiors)
    ]
    return " ".join("M" + _points(ring.coords) + "Z" for ring in rings)


def _points(line):
    return " ".join(f"{x:.3f},{y:.3f}" for x, y in line)
