"""Run every benchmark of time and memory in turn, each in a process of its own, after the versions it was run with.

    python scripts/bench/all.py [--quick]

The whole of it takes about a quarter of an hour on an idle machine with two cores, `--quick` about three minutes: it leaves
out large pieces and most rounds. Each script says what it prints and takes its own options when run alone. How well
scans are redrawn is measured by `redraw.py` and `redraw_marks.py` without options, which take far longer.
"""

import argparse
import os
import platform
import subprocess
import sys
import time
from importlib import metadata, util
from pathlib import Path

import shapely

HERE = Path(__file__).resolve().parent
LIBRARIES = ("numpy", "scipy", "shapely", "scikit-image", "Pillow", "click", "msgspec", "reportlab")
SCRIPTS = {  # options of the whole run, and of the quick one
    "make": (["--rounds", "5"], ["--small", "--rounds", "3"]),
    "regions": (["--million", "--rounds", "3"], ["--rounds", "1"]),
    "necks": (["--large", "--rounds", "3"], ["--rounds", "3"]),
    "mending": (["--rounds", "3"], ["--rounds", "1", "--drawings", "0"]),
    "batch": (["--pieces", "1000"], ["--pieces", "60"]),
    "memory": ([], ["--most", "100000"]),
    "redraw": (["--speed"], ["--speed"]),
    "page": ([], []),
}
NEEDS = {"page": "playwright"}


def main() -> int:
    """Run them; the first code that is not 0, or 0."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true")
    quick = parser.parse_args().quick
    versions = ", ".join(f"{name} {metadata.version(name)}" for name in LIBRARIES)
    print(f"Python {platform.python_version()}, {versions}, GEOS {shapely.geos_version_string}")
    print(f"{platform.system()} {platform.machine()}, {os.cpu_count()} cores", flush=True)
    worst = 0
    for name, options in SCRIPTS.items():
        print(f"\n{name} ({load()})", flush=True)
        if name in NEEDS and util.find_spec(NEEDS[name]) is None:
            print(f"left out: it needs {NEEDS[name]}", flush=True)
            continue
        begin = time.perf_counter()
        words = [sys.executable, str(HERE / f"{name}.py"), *options[quick]]
        ended = subprocess.run(
            words, check=False, env={**os.environ, "PYTHONPATH": str(HERE.parents[1])}
        )
        print(f"took {time.perf_counter() - begin:.0f} s", flush=True)
        worst = worst or ended.returncode
    print(f"\n{load()}")
    return worst


def load() -> str:
    """Say how busy the machine is, where the system tells."""
    return f"load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "load not known"


if __name__ == "__main__":
    sys.exit(main())
