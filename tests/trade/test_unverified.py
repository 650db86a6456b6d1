"""What was not read in print stands in one list, and the page that says what the tests hold us to tells the truth."""

from __future__ import annotations

import re
from pathlib import Path

from yieldopt.trade.unverified import STATEMENTS, flagged

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reference" / "trade.md").read_text(encoding="utf-8")
# The list itself, and tables that flag their rows one by one.
FLAGGED = {"yieldopt/trade/unverified.py", "yieldopt/trade/data/species.csv", "yieldopt/trade/data/grades.toml"}


def test_nothing_is_used_from_memory_outside_the_list() -> None:
    """Code and pages name a statement of the list instead of saying "from memory" on the way."""
    for path in sorted([*ROOT.glob("yieldopt/**/*"), *ROOT.glob("docs/**/*.md"), *ROOT.glob("inventory/**/*")]):
        name = path.relative_to(ROOT).as_posix()
        if path.suffix in {".py", ".md", ".csv", ".toml", ".js", ".html"} and name not in FLAGGED:
            text = " ".join(path.read_text(encoding="utf-8").split())
            allowed = "its cuttings from memory" if name == "docs/reference/trade.md" else ""
            assert "from memory" not in text.replace(allowed or "\0", ""), name


def test_the_page_lists_every_statement() -> None:
    for statement in STATEMENTS.values():
        assert f"- {statement}." in PAGE
    assert flagged("taper") == f"{STATEMENTS['taper']} (from memory, not verified)"


def test_the_table_counts_enough_values_and_its_tests_exist() -> None:
    rows = re.findall(r"^\| ([^|]+) \| (\d+) \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$", PAGE, re.MULTILINE)
    assert len(rows) >= 10
    assert sum(int(row[1]) for row in rows) >= 60
    for row in rows:
        for name in re.findall(r"`([^`]+)`", row[4]):
            assert (ROOT / "tests" / "published" / name).exists(), name
