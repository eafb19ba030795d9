"""Score clip art of every style and habit against its rendered picture, and write the table beside this.

    python scripts/ornaments/score.py 1 3 5        seeds worked with
    python scripts/ornaments/score.py 2 4 6        seeds held back
    python scripts/ornaments/score.py --write      both, into table.md

Each seed is 54 drawings: 18 styles, each in 3 of 9 habits. A drawing that ends in an error counts as a crash.
"""

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.make.clipart import HABITS, STYLES, clipart
from tests.make.enclosed import Score, score

WORKED, HELD_BACK = (1,), (2,)
HEAD = (
    "| what | drawings | areas | recall | regions | precision | small | torn | placed |\n"
    "|---|---|---|---|---|---|---|---|---|\n"
)


def main(arguments):
    """Score seeds, or both sets for the table."""
    if "--write" in arguments:
        parts = [_of(WORKED, "worked with"), _of(HELD_BACK, "held back")]
        text = (Path(__file__).parent / "words.md").read_text() + "\n".join(parts)
        (Path(__file__).parent / "table.md").write_text(text)
    else:
        sys.stdout.write(_of([int(a) for a in arguments] or WORKED, "asked for") + "\n")


def _of(seeds, name):
    """One table: each style, each habit, all."""
    sums = {key: Score() for key in (*STYLES, *HABITS, "all")}
    count, times, crashed = dict.fromkeys(sums, 0), [], []
    for seed in seeds:
        for k, style in enumerate(STYLES):
            for habit in (HABITS[(k + seed + step) % len(HABITS)] for step in (0, 3, 6)):
                try:
                    one = score(clipart(style, habit, seed))
                except Exception as error:  # noqa: BLE001 - a crash is a figure of the table
                    crashed.append(f"{style} {habit} {seed}: {type(error).__name__} {error}")
                    continue
                times.append(one.seconds)
                for key in (style, habit, "all"):
                    sums[key].add(one)
                    count[key] += 1
    rows = [
        f"| {key} | {count[key]} | {s.areas} | {s.recall:.4f} | {s.regions} | {s.precision:.4f} "
        f"| {s.small} | {s.torn} | {min(s.placed):.3f} |"
        for key, s in sums.items()
    ]
    seconds = f"median {np.median(times):.2f} s, longest {max(times):.2f} s"
    head = f"## Seeds {', '.join(map(str, seeds))}, {name}: {seconds}, crashed {len(crashed)}\n\n"
    return head + HEAD + "\n".join([*rows, *(f"\n- {line}" for line in crashed)]) + "\n"


if __name__ == "__main__":
    main(sys.argv[1:])
