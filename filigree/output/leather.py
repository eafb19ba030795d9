"""Leather: what makes a drawn face look like hide: pores of the grain, as a pattern that repeats."""

TILE = 7.0  # mm
PORES = (  # middle and length, mm: scattered by eye so that no row shows
    (0.6, 0.9, 0.34),
    (2.3, 0.4, 0.24),
    (3.9, 1.3, 0.30),
    (1.5, 2.4, 0.26),
    (3.1, 2.9, 0.36),
    (0.5, 3.8, 0.24),
    (2.2, 4.3, 0.32),
    (4.3, 4.1, 0.22),
    (5.6, 0.7, 0.30),
    (6.4, 2.2, 0.26),
    (5.2, 3.1, 0.24),
    (6.0, 4.6, 0.34),
    (0.9, 5.7, 0.28),
    (2.9, 5.9, 0.24),
    (4.6, 5.6, 0.32),
    (6.5, 6.3, 0.24),
    (1.9, 1.3, 0.20),
    (4.9, 2.1, 0.20),
    (3.6, 6.6, 0.20),
)


def grain(name: str, *, dark: float = 0.09) -> str:
    """Write the pattern of the grain under a name; it darkens what lies beneath by up to `dark` (0 to 1)."""
    data = "".join(f"M{x:g} {y:g}h{length:g}" for x, y, length in PORES)
    return (
        f'<defs><pattern id="{name}" width="{TILE:g}" height="{TILE:g}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(17)"><path d="{data}" fill="none" stroke="#2a170a" '
        f'stroke-opacity="{dark:g}" stroke-width=".2" stroke-linecap="round"/></pattern></defs>'
    )
