"""The stack of a job as words for a terminal."""

import math

from filigree.job import Job, Leather
from filigree.plies.leathers import kind_of
from filigree.plies.linings import edge, hardening, suits
from filigree.plies.stack import Layer, Stack, stack, wrap_lengths


def stack_text(job: Job, *, width: float, height: float, open_share: float) -> str:
    """Write thickness, mass, stiffness, edge, curve, hardening and linings of a job.

    Args:
        job: its plies and use.
        width: of the finished piece, mm.
        height: of the finished piece, mm.
        open_share: of the face that comes out, 0 to 1.

    Raises:
        FiligreeError: a leather that is not in the table.
    """
    plies: list[tuple[str, Leather, float]] = [
        ("face", job.face, 1 - open_share),
        ("inlay", job.inlay, 1.0),
        *([("stiffener", job.stiffener, 1.0)] if job.stiffener is not None else []),
        ("backing", job.backing, 1.0),
    ]
    layers = []
    for name, leather, share in plies:
        kind = kind_of(leather, job.leathers)
        layers.append(
            Layer(
                ply=name,
                thickness=leather.span,
                area_mm2=width * height * share,
                density=kind.density_middle,
            )
        )
    found = stack(layers)
    lines = [f"Stack for {width:.0f} x {height:.0f} mm, {100 * open_share:.0f} % of the face open"]
    for layer, (name, leather, _), mass in zip(layers, plies, found.mass_g, strict=True):
        named = leather.leather or "leather board"
        low, high = layer.thickness.low, layer.thickness.high
        lines.append(f"  {name:10s} {named:22s} {low:5.2f} to {high:5.2f} mm  {mass:7.1f} g")
    low, high = found.thickness.low, found.thickness.high
    lines += [
        f"  {'all':10s} {'':22s} {low:5.2f} to {high:5.2f} mm  {found.total_g:7.1f} g",
        _bending(found),
        edge(found),
    ]
    if job.use.curve is not None:
        inward = [layer.thickness.middle for layer in reversed(layers)]
        run = wrap_lengths(job.use.curve, inward, angle=2 * math.pi)
        names = [layer.ply for layer in reversed(layers)]
        said = ", ".join(f"{n} {length:.1f} mm" for n, length in zip(names, run, strict=True))
        lines.append(
            f"Once round {job.use.curve:g} mm the plies' middles run: {said}. Glue on the curve, trim after."
        )
    if job.backing.hardened:
        lines.append(hardening(max(width, height), job.backing.shrink))
    advice = suits(job.use.kind, job.use.needs)
    if advice:
        lines += ["Linings that suit:", *(f"  {line}" for line in advice)]
    return "\n".join(lines)


def _bending(found: Stack) -> str:
    return (
        f"Bending against the bare face: {found.loose:.2f} x with loose plies, {found.bonded:.2f} x when glued "
        "all over; a soft middle ply lies between the two."
    )
