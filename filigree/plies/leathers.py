"""Leathers: generic kinds with density and habits, each figure with its mark; `job.toml` may add kinds."""

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from filigree.errors import FiligreeError
from filigree.job import Leather, LeatherKind

Tannage = Literal["veg", "chrome", "unknown", "none"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of leather, no maker.

    Attributes:
        name: as written in `job.toml`.
        tannage: "none" for leather board, "unknown" when it must be asked.
        density: lowest and highest apparent density, g/cm3.
        nap: True when the side that shows is raised.
        hardens: True when hot water or an oven hardens it.
        good_for: short words for the job sheet.
        mark: where the density comes from: "[M]" from memory, "[CP]" common practice.
    """

    name: str
    tannage: Tannage
    density: tuple[float, float]
    nap: bool = False
    hardens: bool = False
    good_for: str = ""
    mark: str = "[M]"

    @property
    def density_middle(self) -> float:
        """Middle of the density range, g/cm3, for mass."""
        return sum(self.density) / 2


_KINDS = (  # densities: handbook 1.3, from memory; uses: handbook 3.3, common practice
    Kind(
        name="veg-tan tooling side",
        tannage="veg",
        density=(0.85, 1.05),
        hardens=True,
        good_for="tooled faces",
    ),
    Kind(
        name="veg-tan lining",
        tannage="veg",
        density=(0.85, 1.05),
        hardens=True,
        good_for="backing against pale clothes or metal, when undyed or sealed",
    ),
    Kind(
        name="veg-tan sole bend",
        tannage="veg",
        density=(1.0, 1.15),
        hardens=True,
        good_for="hardened backing, stiffener",
    ),
    Kind(name="chrome upper", tannage="chrome", density=(0.60, 0.80), good_for="supple inlay"),
    Kind(
        name="cow suede split",
        tannage="chrome",
        density=(0.50, 0.70),
        nap=True,
        good_for="inlay, and backing that must not slip",
    ),
    Kind(
        name="pigskin suede",
        tannage="chrome",
        density=(0.50, 0.70),
        nap=True,
        good_for="thin inlay and lining with a soft hand",
    ),
    Kind(
        name="pigskin lining",
        tannage="unknown",
        density=(0.50, 0.70),
        good_for="thin, light lining",
    ),
    Kind(
        name="leather board",
        tannage="none",
        density=(0.90, 1.10),
        good_for="flat stiffener",
        mark="[CP]",
    ),
)

LEATHERS: Mapping[str, Kind] = {kind.name: kind for kind in _KINDS}


def leather_of(name: str, own: Iterable[LeatherKind] = ()) -> Kind:
    """Find a kind by name, among the maker's own kinds first.

    Raises:
        FiligreeError: no such kind; the nearest is named.
    """
    table = {**LEATHERS, **{kind.name: _own(kind) for kind in own}}
    wanted = " ".join(name.lower().split())
    if wanted in table:
        return table[wanted]
    near = difflib.get_close_matches(wanted, table, n=1, cutoff=0.4)
    hint = f"did you mean {near[0]!r}? " if near else ""
    raise FiligreeError(
        f"{name!r} is no leather of the table",
        remedy=f"{hint}Kinds are {', '.join(table)}; [[leathers]] in job.toml adds more",
        where="leather",
    )


def kind_of(leather: Leather, own: Iterable[LeatherKind] = ()) -> Kind:
    """Find the kind of one ply's leather; what the ply itself says of tannage and density goes before the table.

    Raises:
        FiligreeError: no such kind; the nearest is named.
    """
    kind = leather_of(leather.leather or "leather board", own)
    if leather.tannage:
        kind = replace(kind, tannage=_TANNAGES.get(leather.tannage, "unknown"))
    if leather.density is not None:
        kind = replace(kind, density=(leather.density, leather.density), mark="the maker's")
    return kind


_TANNAGES: Mapping[str, Tannage] = {"veg": "veg", "chrome": "chrome"}  # any other must be asked


def _own(kind: LeatherKind) -> Kind:
    return Kind(
        name=kind.name,
        tannage=_TANNAGES.get(kind.tannage, "unknown"),
        density=(kind.density, kind.density),
        nap=kind.nap,
        mark="the maker's",
    )
