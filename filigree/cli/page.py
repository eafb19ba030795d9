"""`filigree page`: work on a piece in the browser."""

import secrets
import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING

import click

from filigree.cli import HOLDS
from filigree.cli.job_options import FILE, job_options_or_folder
from filigree.cli.printing import progress, say
from filigree.errors import FiligreeError, one_line

if TYPE_CHECKING:
    from filigree.job import Job


@click.command("page")
@click.argument("art", type=FILE, default=".")
@click.option(
    "-o", "out", type=FILE, metavar="DIR", help="Folder that Save writes; default: NAME-cut, here."
)
@click.option("--anew", is_flag=True, help="Begin anew; earlier work on ART stays as a copy.")
@click.option("--no-browser", is_flag=True, help="Print the address and open nothing.")
@job_options_or_folder
def command(*, art: Path, job: "Job", out: Path | None, anew: bool, no_browser: bool) -> int:
    """Open ART on a page of this machine: pick fields, try leather and colours, mend, save.

    Without ART, or with a folder, the page lists the drawings there, and takes one that you drop on it.
    The work is kept in NAME-page as you go, beside the output or in the folder that was listed, and taken
    up from there the next time.
    Ctrl-C ends it.

    Example: filigree page vine.svg --face "5-6 oz"
    """
    try:
        import uvicorn

        from filigree.page import aside
        from filigree.page.desk import Desk
        from filigree.page.server import app_of, listening
    except ModuleNotFoundError as error:
        raise FiligreeError(
            f"the page needs {error.name}",
            remedy="in the folder that filigree was installed from: pip install '.[page]'",
            where="page",
        ) from error

    aside.HELPER.start()
    if art.is_dir():
        desk = Desk(folder=art, given=out, fallback=job)
    else:
        desk = Desk(folder=out.parent if out else Path(), fallback=job)
        with progress() as tell:
            if tell is not None:
                tell("reading the drawing")
            again = desk.open(art, job, out=out, anew=anew)
        if again and desk.keeper:
            kept = one_line(str(desk.keeper.folder))
            say(
                f"Going on from {kept} with the settings kept there; give --anew to begin anew and keep a copy."
            )
        if desk.keeper and desk.keeper.laid_aside:
            copy = one_line(str(desk.keeper.laid_aside))
            say(
                f"Begun anew; the earlier work is in {copy} (to go on from it: --anew --job {copy})."
            )
    taken = listening()
    host, token = f"127.0.0.1:{taken.getsockname()[1]}", secrets.token_urlsafe(24)
    address = f"http://{host}/{token}/"
    say(f"The page is at {address} (Ctrl-C ends it)")
    if not no_browser:
        webbrowser.open(address)
    settings = uvicorn.Config(
        app_of(desk, host=host, token=token), log_level="error", ws="none", lifespan="off"
    )
    uvicorn.Server(settings).run(sockets=[taken])
    return HOLDS
