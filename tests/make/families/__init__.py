"""Drawings whose truth is known by construction, in many families.

`FAMILIES[name](seed)` gives a `Made`: the drawing, its SVG, the true background and motif. A seed
gives the same drawing for ever. `STRANGERS` are composed another way than `FAMILIES`; `GUESTS` come from
other hands and trades (carvers, engravers, embroiderers): figures drawn to be read at a glance. `EVERY` holds
them all. `TRAINING` names those that teach the weights (seeds under 1000), `UNSEEN` those that never do.
"""

import zlib
from collections.abc import Callable

import numpy as np

from tests.make.families import (
    figures,
    grounds,
    guests_air,
    guests_arms,
    guests_cloth,
    guests_faces,
    guests_growth,
    guests_open,
    guests_sea,
    guests_signs,
    guests_sky,
    guests_stags,
    guests_vines,
    guests_weave,
    guests_woods,
    guests_wyverns,
    medleys,
    plants,
    repeats,
    sheets,
    strangers,
    variants,
    weaves,
)
from tests.make.families.scene import Made, marked, symmetric

__all__ = [
    "FAMILIES",
    "GUESTS",
    "STRANGERS",
    "TRAINING",
    "UNSEEN",
    "Made",
    "marked",
    "symmetric",
    "varied",
]

_TRAINING = {
    "vine": plants.vine,
    "scroll": plants.scroll,
    "leaves": plants.leaves,
    "foliage": plants.foliage,
    "acanthus": plants.acanthus,
    "lilies": plants.lilies,
    "reeds": plants.reeds,
    "plait": weaves.plait,
    "broken_plait": weaves.broken_plait,
    "knot": weaves.knot,
    "lattice": weaves.lattice,
    "rings": weaves.rings,
    "basket": weaves.basket,
    "ribbon": weaves.ribbon,
    "rushes": repeats.rushes,
    "beasts": figures.beasts,
    "fish": figures.leaping_fish,
    "free": figures.free,
    "nested": figures.nested,
    "panels": figures.panels,
    "tiles": repeats.tiles,
    "frieze": repeats.frieze,
    "rosette": repeats.rosette,
    "mandala": repeats.mandala,
    "waves": repeats.waves,
    "hills": grounds.hills,
    "quilt": grounds.quilt,
    "cutwork": sheets.cutwork,
    "maze": sheets.maze,
    "wires": sheets.wires,
    "panes": sheets.panes,
    "crests": sheets.crests,
    "medley_panel": medleys.medley_panel,
    "medley_strip": medleys.medley_strip,
    "medley_round": medleys.medley_round,
}
_UNSEEN = {
    "wreath": plants.wreath,
    "herons": figures.herons,
    "letters": figures.letters,
    "girih": repeats.girih,
    "feathers": repeats.feathers,
    "arches": grounds.arches,
    "serpents": grounds.serpents,
}
_STRANGERS = {
    "thicket": strangers.thicket,
    "tracery": strangers.tracery,
    "meander": strangers.meander,
    "guilloche": strangers.guilloche,
    "shield": strangers.shield,
    "initial": strangers.initial,
    "starcross": strangers.starcross,
    "palmettes": strangers.palmettes,
}

_GUESTS = {
    "oaks": guests_woods.oaks,
    "mushrooms": guests_woods.mushrooms,
    "grapes": guests_vines.grapes,
    "carved": guests_vines.carved,
    "stags": guests_stags.stags,
    "wyverns": guests_wyverns.wyverns,
    "hounds": guests_weave.hounds,
    "eightfold": guests_weave.eightfold,
    "wings": guests_air.wings,
    "bees": guests_air.bees,
    "ships": guests_sea.ships,
    "clouds": guests_sea.clouds,
    "masks": guests_faces.masks,
    "suns": guests_sky.suns,
    "paisleys": guests_cloth.paisleys,
    "pomegranates": guests_cloth.pomegranates,
    "trees": guests_growth.trees,
    "whiplash": guests_growth.whiplash,
    "monograms": guests_signs.monograms,
    "compass": guests_arms.compass,
    "heraldry": guests_arms.heraldry,
    "openwork": guests_open.openwork,
    "lattices": guests_open.lattices,
}


def _seeded(name: str, build) -> Callable[[int], Made]:
    def make(seed: int) -> Made:
        return build(seed, np.random.default_rng([seed, zlib.crc32(name.encode())]))

    make.__name__ = name
    make.__doc__ = build.__doc__
    return make


_LAST = 7  # guests that stay unseen
TRAINING = (*_TRAINING, *_STRANGERS, *tuple(_GUESTS)[:-_LAST])
UNSEEN = (*_UNSEEN, *tuple(_GUESTS)[-_LAST:])
FAMILIES: dict[str, Callable[[int], Made]] = {
    name: _seeded(name, build) for name, build in {**_TRAINING, **_UNSEEN}.items()
}
STRANGERS: dict[str, Callable[[int], Made]] = {
    name: _seeded(name, build) for name, build in _STRANGERS.items()
}

GUESTS: dict[str, Callable[[int], Made]] = {
    name: _seeded(name, build) for name, build in _GUESTS.items()
}
EVERY = {**FAMILIES, **STRANGERS, **GUESTS}


def varied(name: str, seed: int) -> Made:
    """A drawing of a family by another hand: other rims, outlines, proportions, corners."""
    made = EVERY[name](seed)
    return variants.varied(made, np.random.default_rng([seed, zlib.crc32(name.encode()), 1]))
