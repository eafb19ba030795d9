"""Learn the weights and trees of the background guess: `python -m scripts.learn --store FOLDER`.

Writes `weights.json` and `trees.json` of `filigree/regions/background/` and `scripts/learn/table.md`. What
is seen of the drawings is kept in the store, so that a second run is quick; clear it when a cue changes.
Tests use other seeds.
"""

import argparse
import itertools
from pathlib import Path

import msgspec
import numpy as np

from filigree.regions.background.cues import NAMES
from filigree.regions.background.frame import framed
from filigree.regions.background.further import FURTHER_NAMES
from filigree.regions.background.learnt import TABLE, Cue, Table
from filigree.regions.background.trees import GROWN
from scripts.learn.examples import Example, examples
from scripts.learn.model import BLEND, Model, taught
from scripts.learn.perceptron import CLIP
from scripts.learn.trust import LINE, MOST, Trust, gather
from tests.make.families import EVERY, TRAINING, UNSEEN

LEARNT = range(48)
HELD_BACK = range(1000, 1003)
FOLDS = 3
BINS = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0)
NOTE = (
    f"Written by python -m scripts.learn: structured perceptron and boosted trees over {len(TRAINING)} generated"
    f" families ({', '.join(TRAINING)}), seeds {LEARNT[0]} to {LEARNT[-1]}, each as drawn and by another hand;"
    " trust set on families left out in turn."
)


def main() -> None:
    """Learn, fit the trust, write weights and table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--store", type=Path, required=True, help="folder for divided drawings")
    store = parser.parse_args().store
    known = {n: _pure(examples(n, LEARNT, store)) for n in TRAINING}
    fresh = {n: _pure(examples(n, HELD_BACK, store)) for n in EVERY}
    model = taught([e for n in TRAINING for e in known[n]], note=NOTE)
    left_out = _left_out(known)
    write(model, LINE)
    parts = [
        "# Background guess: how well it carries",
        (
            "Areas in % (opened: of the true background; wrong: of the motifs, rim not counted); right: regions"
            f" in %. Learnt from seeds {LEARNT[0]} to {LEARNT[-1]} of {len(TRAINING)} families, each as drawn and by"
            " another hand (stretched, rounded, doubled, without rim ...), and judged on both; drawings in which a"
            " region is part background, part motif are left out."
        ),
        _rows("Families learnt from, held-back seeds", fresh, [(model, TRAINING)]),
        _rows("Families never learnt from", fresh, [(model, UNSEEN)]),
        _rows(f"Every family left out in turn ({FOLDS} folds)", fresh, left_out),
        _trust_rows(
            "Trust, held-back seeds of all families",
            LINE,
            [(model, [e for n in fresh for e in fresh[n]])],
        ),
        _trust_rows(
            "Trust, families left out",
            LINE,
            [(m, [e for n in names for e in fresh[n]]) for m, names in left_out],
        ),
    ]
    text = "\n\n".join(parts) + "\n"
    Path(__file__).with_name("table.md").write_text(text)
    print(text)


def _pure(found: list[Example]) -> list[Example]:
    return [e for e in found if e.pure]


def _left_out(known: dict[str, list[Example]]) -> list[tuple[Model, tuple[str, ...]]]:
    """Models learnt without some families, and which."""
    order = [str(n) for n in np.random.default_rng(3).permutation(list(known))]
    folds = [tuple(order[k::FOLDS]) for k in range(FOLDS)]
    return [(taught([e for n in known if n not in out for e in known[n]]), out) for out in folds]


def write(model: Model, trust: Trust) -> None:
    """Write the tables that ship with the package."""
    weights = model.weights
    table = Table(
        note=NOTE,
        cues={
            name: Cue(
                mean=round(float(weights.mean[k]), 5),
                spread=round(float(weights.spread[k]), 5),
                weight=round(float(weights.weight[k]), 4),
            )
            for k, name in enumerate((*NAMES, *FURTHER_NAMES))
        },
        bias=round(weights.bias, 4),
        clip=CLIP,
        blend=BLEND,
        heat=trust.heat,
        trust_slope=round(trust.slope, 4),
        trust_bias=round(trust.bias, 4),
        trust_most=MOST,
    )
    TABLE.write_bytes(msgspec.json.format(msgspec.json.encode(table), indent=1) + b"\n")
    GROWN.write_bytes(msgspec.json.encode(model.trees) + b"\n")


def figures(model: Model, found: list[Example]) -> tuple[float, float, float]:
    """Background opened, motif opened, regions right, each in %."""
    ground = opened = motif = wrong = right = count = 0.0
    for e in found:
        chosen = model.choose(e)
        free = ~framed(e.seen.border, len(chosen))
        ground += e.area[e.truth].sum()
        opened += e.area[e.truth & chosen].sum()
        motif += e.area[~e.truth & free].sum()
        wrong += e.area[~e.truth & free & chosen].sum()
        right += (chosen == e.truth).sum()
        count += len(chosen)
    return (
        100 * opened / max(ground, 1e-9),
        100 * wrong / max(motif, 1e-9),
        100 * right / max(count, 1),
    )


def _rows(
    title: str,
    found: dict[str, list[Example]],
    sets: list[tuple[Model, tuple[str, ...]]],
) -> str:
    lines = [
        f"## {title}",
        "",
        "| family | drawings | opened | wrong | right |",
        "|---|---|---|---|---|",
    ]
    every = []
    for model, names in sets:
        for name in names:
            row = figures(model, found[name])
            every.append(row)
            lines.append(
                f"| {name} | {len(found[name])} | {row[0]:.2f} | {row[1]:.2f} | {row[2]:.1f} |"
            )
    mean = np.mean(every, axis=0)
    lines.append(f"| **mean** | | {mean[0]:.2f} | {mean[1]:.2f} | {mean[2]:.1f} |")
    return "\n".join(lines)


def _trust_rows(title: str, trust: Trust, sets: list[tuple[Model, list[Example]]]) -> str:
    margin, right, _ = gather(sets, trust.heat)
    sure = trust.sure(margin)
    lines = [f"## {title}", "", "| sure | regions | share | right |", "|---|---|---|---|"]
    for low, high in itertools.pairwise(BINS):
        here = (sure >= low) & ((sure < high) | (high == 1.0))
        if here.any():
            lines.append(
                f"| {low:g} to {high:g} | {here.sum()} | {100 * here.mean():.1f} | {100 * right[here].mean():.1f} |"
            )
    firm = sure >= 0.9
    lines.append(
        f"| **0.9 and more** | {firm.sum()} | {100 * firm.mean():.1f} | {100 * right[firm].mean():.2f} |"
    )
    return "\n".join(lines)


if __name__ == "__main__":
    main()
