"""`filigree stack`: how thick, heavy and stiff the plies are together, and which lining suits."""

from pathlib import Path

import click

from filigree.cli.job_options import FILE
from filigree.cli.printing import say

NEEDS = ("grip", "pale clothes", "metal", "body", "light", "supple", "draws a tool")
USES = (
    "armour",
    "bag",
    "belt",
    "book cover",
    "bracer",
    "case",
    "costume",
    "holster",
    "mask",
    "strap",
    "wall",
    "wallet",
)
MOST_OPEN = 0.95  # of the face


@click.command("stack")
@click.option("--job", "job_file", type=FILE, metavar="FILE", help="Settings to start from.")
@click.option("--face", metavar="THICKNESS", help='Thickness of the face: "5-6 oz".')
@click.option("--inlay", metavar="THICKNESS", help="Thickness of the inlay.")
@click.option("--backing", metavar="THICKNESS", help="Thickness of the backing.")
@click.option("--stiffener", metavar="THICKNESS", help="Thickness of a stiffener between.")
@click.option("--use", "use", type=click.Choice(USES), help="What the piece is for.")
@click.option(
    "--need", "needs", type=click.Choice(NEEDS), multiple=True, help="What the lining must do."
)
@click.option(
    "--size",
    default="200x150",
    metavar="WxH",
    help="Size of the finished piece; default: 200x150 mm.",
)
@click.option(
    "--open-share",
    default="30%",
    metavar="PERCENT",
    help="How much of the face is open; default: 30%.",
)
@click.option("--curve", metavar="LENGTH", help="Diameter that the piece is worn or bent on.")
@click.option("--hardened", is_flag=True, help="The backing is hardened by heat.")
def command(
    *,
    job_file: Path | None,
    face: str | None,
    inlay: str | None,
    backing: str | None,
    stiffener: str | None,
    use: str | None,
    needs: tuple[str, ...],
    size: str,
    open_share: str,
    curve: str | None,
    hardened: bool,
) -> int:
    """Add up the plies of a piece: thickness, mass, stiffness, edge, curve, and the lining that suits.

    Example: filigree stack --face "5-6 oz" --inlay "2-3 oz" --backing "10-11 oz" --use bracer --curve 70
    """
    from filigree.cli.job_options import share_of, sides_of
    from filigree.job import Job, load_job, with_overrides
    from filigree.output.stacked import stack_text
    from filigree.units import parse_length

    wishes: dict[str, object] = {
        "face.thickness": face,
        "inlay.thickness": inlay,
        "backing.thickness": backing,
        "stiffener.thickness": stiffener,
        "use.kind": use,
        "use.needs": list(needs) or None,
        "use.curve": None if curve is None else parse_length(curve, where="--curve"),
        "backing.hardened": True if hardened else None,
    }
    job = with_overrides(
        load_job(job_file) if job_file else Job(),
        {key: value for key, value in wishes.items() if value is not None},
        where="options",
    )
    width, height = sides_of(size, where="--size")
    share = share_of(open_share, where="--open-share", most=MOST_OPEN)
    say(stack_text(job, width=width, height=height, open_share=share))
    return 0
