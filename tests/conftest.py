"""Golden files, and how long an example may take."""

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

GOLDEN = Path(__file__).parent / "golden"
CLOSE = 0.002  # mm: numbers of a golden file may move by this, words may not
_NUMBER = re.compile(r"(?<![\w#.])-?\d+(?:\.\d+)?(?:e-?\d+)?(?![\w.])")

settings.register_profile(
    "filigree", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("filigree")


def pytest_addoption(parser):
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="rewrite golden files; read the diff afterwards",
    )


@pytest.fixture
def golden(request):
    """Compare a text with tests/golden/NAME: words exactly, numbers within 0.002."""

    def compare(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
            return
        wanted = path.read_text(encoding="utf-8")
        assert _NUMBER.sub("0", text) == _NUMBER.sub("0", wanted), f"words moved in {name}"
        numbers, before = ([float(n) for n in _NUMBER.findall(t)] for t in (text, wanted))
        assert numbers == pytest.approx(before, abs=CLOSE, rel=0), f"numbers moved in {name}"

    return compare
