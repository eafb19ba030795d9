"""Run every benchmark in turn, each in a process of its own, after the versions it was run with.

    python scripts/bench/all.py [--quick]

`--quick` leaves out a million segments and the large pieces. Each script says what it prints and takes its own
options when run alone.
"""

import argparse
import os
import platform
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import shapely

HERE = Path(__file__).resolve().parent
LARGER = {"regions": "--million", "necks": "--large"}
SMALLER = {"make": "--small"}
LIBRARIES = ("numpy", "scipy", "shapely", "scikit-image", "Pillow", "click", "msgspec", "reportlab")


def main() -> int:
    """Run them; the first code that is not 0, or 0."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true")
    quick = parser.parse_args().quick
    versions = ", ".join(f"{name} {metadata.version(name)}" for name in LIBRARIES)
    print(f"Python {platform.python_version()}, {versions}, GEOS {shapely.geos_version_string}")
    print(f"{platform.system()} {platform.machine()}, {os.cpu_count()} cores", flush=True)
    worst = 0
    for script in sorted(HERE.glob("*.py")):
        if script.name == Path(__file__).name:
            continue
        extra = (SMALLER if quick else LARGER).get(script.stem)
        print(f"\n{script.stem}", flush=True)
        words = [sys.executable, str(script), *([extra] if extra else [])]
        ended = subprocess.run(
            words, check=False, env={**os.environ, "PYTHONPATH": str(HERE.parents[1])}
        )
        worst = worst or ended.returncode
    return worst


if __name__ == "__main__":
    sys.exit(main())
