"""The table of trade numbers: each row is read by code, none stands there for show."""

import ast
import re
from pathlib import Path

import filigree
from filigree.job import DEFAULTS

PACKAGE = Path(filigree.__file__).parent
TABLE = PACKAGE / "job" / "defaults.py"


def keys_read():
    """Patterns of every text of the package's code that could name a row, f-strings with gaps."""
    found = set()
    for path in PACKAGE.rglob("*.py"):
        if path == TABLE:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.JoinedStr):
                parts = [
                    re.escape(part.value) if isinstance(part, ast.Constant) else "[a-z]+"
                    for part in node.values
                ]
                found.add("".join(parts))
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(re.escape(node.value))
    return {text for text in found if not text.startswith("[a-z]+") and len(text) < 60}


def test_every_row_is_read():
    patterns = [re.compile(text) for text in sorted(keys_read())]
    unread = [
        row.key for row in DEFAULTS if not any(pattern.fullmatch(row.key) for pattern in patterns)
    ]
    assert unread == []
