"""The one error that is shown to the maker as a single line, without a traceback."""


class FiligreeError(Exception):
    """Something the owner of the input can put right.

    Args:
        what: what is wrong, with what was read.
        remedy: what to try.
        where: file, setting or place the fault is in; empty when there is none.

    >>> print(FiligreeError("no closed line found", remedy="close the border", where="vine.svg"))
    vine.svg: no closed line found; close the border
    """

    def __init__(self, what: str, *, remedy: str, where: str = "") -> None:
        super().__init__(what, remedy, where)
        self.what = what
        self.remedy = remedy
        self.where = where

    def __str__(self) -> str:
        head = f"{self.where}: " if self.where else ""
        tail = f"; {self.remedy}" if self.remedy else ""
        return one_line(f"{head}{self.what}{tail}")

    def __reduce__(self) -> tuple[object, ...]:
        return _remade, (self.what, self.remedy, self.where)


def one_line(text: str) -> str:
    r"""Put a text on one line; what a terminal would obey or not show is written out.

    >>> one_line("a\n  b\x1b[2J")
    'a b\\x1b[2J'
    """
    return "".join(c if c.isprintable() else _written_out(c) for c in " ".join(text.split()))


def _written_out(char: str) -> str:
    return char.encode("unicode_escape", "surrogatepass").decode("ascii")


def _remade(what: str, remedy: str, where: str) -> FiligreeError:
    """Build the error again on the other side of a process border."""
    return FiligreeError(what, remedy=remedy, where=where)
