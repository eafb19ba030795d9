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
        return " ".join(f"{head}{self.what}{tail}".split())
