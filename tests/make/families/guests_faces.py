"""Guests with faces: masks and skulls with openings for eyes and mouth."""

import numpy as np
import shapely
from shapely import LineString

from tests.make.families.guests_kit import (
    Sheet,
    bare,
    closed,
    curve,
    disc,
    finish,
    lay,
    put,
    sheet_of,
    taper,
)
from tests.make.families.scene import flip
from tests.make.families.strokes import place


def mirror_ring(half):
    """Closed ring of a right half given from top to bottom and its mirror image."""
    return [*half, *[(-x, y) for x, y in half[::-1] if abs(x) > 1e-9]]


def mask_shape(rng, kind):
    """Face, openings and inner lines of a mask about one wide."""
    j = rng.uniform(-0.02, 0.02, 12)
    if kind == "skull":
        face = closed(
            mirror_ring(
                [
                    (0, -0.62),
                    (0.34, -0.54),
                    (0.5, -0.22),
                    (0.42, 0.06),
                    (0.36, 0.16),
                    (0.27, 0.22),
                    (0.25, 0.52),
                    (0.12, 0.6),
                    (0, 0.61),
                ]
            )
        )
        eye = closed(
            [
                (0.1, -0.06),
                (0.16, -0.2 + j[0]),
                (0.3, -0.2),
                (0.36, -0.06),
                (0.3, 0.06),
                (0.16, 0.06),
            ]
        )
        nose = closed([(0, 0.02), (0.06, 0.16), (0, 0.2), (-0.06, 0.16)], (0,))
        teeth = [
            shapely.box(x - 0.018, 0.36, x + 0.018, 0.5).buffer(0.012)
            for x in np.linspace(-0.16, 0.16, int(rng.choice([4, 5, 6])))
        ]
        lines = [
            curve([(0.1, -0.36), (0.22, -0.42), (0.34, -0.34)]),
            LineString([(0.24, 0.26), (0.12, 0.3), (0, 0.31)]),
        ]
        return face, [eye, flip(eye, 0.0), nose, *teeth], lines
    if kind == "domino":
        face = closed(
            mirror_ring(
                [
                    (0, -0.1),
                    (0.2, -0.2),
                    (0.5, -0.24 + j[1]),
                    (0.66, -0.34),
                    (0.6, 0.0),
                    (0.4, 0.2 + j[2]),
                    (0.16, 0.16),
                    (0, 0.02),
                ]
            ),
            (3, 0, 7, 11),
        )
        eye = closed([(0.11, 0.01), (0.26, -0.12), (0.44, -0.09), (0.27, 0.09)], (0, 2))
        drops = [
            place(
                closed([(0, 0), (0.05, -0.025), (0.09, 0), (0.05, 0.025)], (0,)),
                0.46,
                -0.12 + 0.1 * k,
                -0.5 + 0.5 * k,
            )
            for k in range(int(rng.integers(2, 5)))
        ]
        drops = [d for d in drops if face.buffer(-0.025).contains(d)]
        lines = [
            closed([(0.07, 0.01), (0.25, -0.17), (0.48, -0.12), (0.27, 0.14)], (0, 2)).exterior
        ]
        return face, [eye, flip(eye, 0.0), *drops, *[flip(d, 0.0) for d in drops]], lines
    face = closed(
        mirror_ring(
            [
                (0, -0.62),
                (0.3, -0.56),
                (0.46, -0.28),
                (0.44, 0.08),
                (0.3, 0.44 + j[3]),
                (0.12, 0.64),
                (0, 0.68),
            ]
        )
    )
    eye = closed([(0.09, -0.1), (0.22, -0.2 + j[4]), (0.36, -0.11), (0.22, -0.05 + j[5])], (0, 2))
    grin = rng.uniform(-0.08, 0.1)
    mouth = closed(
        [
            (-0.22, 0.34 - grin),
            (0, 0.36 + grin / 2),
            (0.22, 0.34 - grin),
            (0, 0.36 + rng.uniform(0.08, 0.16) + grin / 2),
        ],
        (0, 2),
    )
    nostril = closed([(0.03, 0.2), (0.08, 0.17), (0.07, 0.22)], (0, 1))
    lines = [
        curve([(0.06, -0.24), (0.22, -0.34), (0.4, -0.26)]),
        curve([(0.05, -0.14), (0.05, 0.08), (0.12, 0.18), (0.08, 0.25), (0.0, 0.26)]),
    ]
    lines.append(curve([(0.3, 0.12), (0.34, 0.26), (0.28, 0.38)]))
    return face, [eye, flip(eye, 0.0), mouth, nostril, flip(nostril, 0.0)], lines


def leafage(rng, kind, face):
    """Leaves, plumes or rays that stand out from behind a mask."""
    found = []
    if kind == "domino":
        for k in range(int(rng.integers(4, 8))):
            a = -np.pi / 2 + 0.13 + 0.24 * k
            plume = closed(
                [(0, -0.02), (0.3, -0.09), (0.55, -0.1), (0.62, 0), (0.5, 0.06), (0.25, 0.05)], (0,)
            )
            rib = curve([(0.05, 0), (0.3, -0.02), (0.5, -0.03)])
            size = rng.uniform(0.75, 1.0) * (1 - 0.06 * k)
            found.append(
                (
                    place(plume, 0.06 + 0.07 * k, -0.1, a, size),
                    [place(rib, 0.06 + 0.07 * k, -0.1, a, size)],
                )
            )
    else:
        count = int(rng.integers(7, 12))
        lobed = kind == "green" or rng.random() < 0.5
        for k in range(count):
            a = -np.pi / 2 + np.pi * (k + 0.5) / count
            x, y = 0.36 * np.cos(a), 0.02 + 0.5 * np.sin(a)
            ring = [
                (0, -0.1),
                (0.1, -0.17),
                (0.17, -0.11),
                (0.24, -0.15),
                (0.3, -0.08),
                (0.44, 0),
                (0.3, 0.08),
                (0.24, 0.15),
                (0.17, 0.11),
                (0.1, 0.17),
                (0, 0.1),
            ]
            leaf = (
                closed(ring, (0, 2, 4, 5, 6, 8, 10))
                if lobed
                else closed([(0, -0.1), (0.2, -0.13), (0.46, 0), (0.2, 0.13), (0, 0.1)], (0, 2, 4))
            )
            size = rng.uniform(0.85, 1.1)
            turn = a + rng.uniform(-0.15, 0.15)
            found.append(
                (
                    place(leaf, x, y, turn, size),
                    [place(LineString([(0.05, 0), (0.34, 0)]), x, y, turn, size)],
                )
            )
    both = []
    for shape, lines in found:
        both += [(shape, lines), (flip(shape, 0.0), [flip(q, 0.0) for q in lines])]
    return both


def masks(seed, rng):
    """A mask or a skull with true holes, plumed, leafy or among roses, in a rim or cut out alone."""
    kind = ("face", "domino", "green", "skull")[seed % 4]
    face, holes, lines = mask_shape(rng, "face" if kind == "green" else kind)
    around = leafage(rng, kind, face) if kind != "face" or rng.random() < 0.5 else []
    inner = [q for s in lines for q in (s, flip(s, 0.0))] if rng.random() < 0.8 else []
    cut = shapely.union_all(holes)
    figure = [
        (s.difference(cut) if s.intersects(cut) else s, [q.difference(cut.buffer(0.01)) for q in i])
        for s, i in around
    ]
    whole = face.difference(cut)
    figure.append((whole, [q & whole.buffer(-0.012) for q in inner]))
    if kind == "skull":
        for s in (-1, 1):
            figure += [
                (
                    place(shape, s * 0.42, 0.6, s * 0.4, 0.2),
                    [place(q, s * 0.42, 0.6, s * 0.4, 0.2) for q in i],
                )
                for shape, i in rose(rng)
            ]
    alone = kind == "domino" and rng.random() < 0.4
    if alone:
        size = rng.uniform(130, 190)
        empty = Sheet(outline=face, field=face)
        empty.layers = [
            (place(s, 0, 0, 0, size), [place(q, 0, 0, 0, size) for q in i]) for s, i in figure
        ]
        return bare(f"masks-{seed}", empty, rng)
    sheet = sheet_of(
        rng,
        ("oval", "soft", "box", "arch", "canted", "ogive"),
        size=(100, 170),
        aspect=(0.55, 0.75) if kind == "domino" else (1.1, 1.35),
    )
    x0, y0, x1, y1 = sheet.field.bounds
    a0, b0, a1, b1 = shapely.total_bounds([s for s, _ in figure])
    size = min((x1 - x0) / (a1 - a0), (y1 - y0) / (b1 - b0)) * (
        rng.uniform(0.94, 1.06) if around else rng.uniform(0.74, 0.86)
    )
    x, y = (x0 + x1) / 2, (y0 + y1) / 2 - size * (b0 + b1) / 2
    if not around:
        for k in range(int(rng.integers(5, 9)) * 2):
            a = 2 * np.pi * k / 16
            lay(sheet, taper([(x, y), (x + 300 * np.cos(a), y + 300 * np.sin(a))], 2.5, 14.0))
    put(sheet, figure, x, y, size)
    openings = place(cut, x, y, 0, size)
    sheet.layers = [
        (s.difference(openings) if s.intersects(openings) else s, i) for s, i in sheet.layers
    ]
    return finish(f"masks-{seed}", sheet, rng)


def rose(rng):
    """A full-blown rose about the origin, radius one."""
    found = []
    for a in (0.3, 2.2, 4.1):
        leaf = closed([(0.7, -0.1), (1.1, -0.32), (1.55, 0), (1.1, 0.32), (0.7, 0.1)], (0, 2, 4))
        found.append((place(leaf, 0, 0, a), [place(LineString([(0.8, 0), (1.4, 0)]), 0, 0, a)]))
    for ring, n, r in ((0, 5, 0.62), (1, 4, 0.38)):
        for k in range(n):
            a = 2 * np.pi * (k + ring / 2) / n
            found.append(
                (
                    disc(
                        (0.46 - 0.2 * ring) * np.cos(a), (0.46 - 0.2 * ring) * np.sin(a), r * 0.85
                    ),
                    [],
                )
            )
    found.append((disc(0, 0, 0.26), [curve([(-0.12, 0.05), (0, -0.12), (0.12, 0.02), (0.0, 0.1)])]))
    return found
