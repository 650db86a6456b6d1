"""The reference page of the formats compared with the reader: every column, key and limit is there, and no other."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from yieldopt.ground.lengths import parse_length
from yieldopt.reading import limits
from yieldopt.reading.columns import TABLES, TOP_KEYS, Columns
from yieldopt.wood.lumber import DEFECT_KINDS, SOUND_KINDS, UNSOUND_KINDS

REFERENCE = Path(__file__).parents[2] / "docs" / "reference"
FORMATS = (REFERENCE / "formats.md").read_text(encoding="utf-8")


def section(heading: str) -> str:
    found = re.search(rf"^## {re.escape(heading)}\n(.*?)(?=^## |\Z)", FORMATS, re.MULTILINE | re.DOTALL)
    assert found is not None
    return found[1]


@pytest.mark.parametrize("table", TABLES, ids=lambda t: t.stem)
def test_every_column_is_documented_and_no_other(table: Columns) -> None:
    first_cells = re.findall(r"^\| (`[^|]*) \|", section(f"{table.stem}.csv"), re.MULTILINE)
    documented = [name for cell in first_cells for name in re.findall(r"`(\w+)`", cell)]
    assert sorted(documented) == sorted(table.known)


@pytest.mark.parametrize("table", [t for t in TABLES if t.optional], ids=lambda t: t.stem)
def test_columns_called_needed_are_those_the_reader_needs(table: Columns) -> None:
    rows = re.findall(r"^\| (`[^|]*) \|.*\| needed \|$", section(f"{table.stem}.csv"), re.MULTILINE)
    assert {name for cell in rows for name in re.findall(r"`(\w+)`", cell)} == set(table.needed)


def test_defect_kinds_and_top_keys_are_documented() -> None:
    row = next(line for line in section("defects.csv").splitlines() if line.startswith("| `kind`"))
    sound, unsound = row.split("(sound)")
    assert set(re.findall(r"`([a-z ]+)`", sound)) - {"kind"} == SOUND_KINDS
    assert set(re.findall(r"`([a-z ]+)`", unsound)) == UNSOUND_KINDS == DEFECT_KINDS - SOUND_KINDS
    assert all(f"`{key}`" in section("job.toml") for key in TOP_KEYS)


def test_limits_are_documented() -> None:
    line = re.search(r"^- Limits: (.*)$", FORMATS, re.MULTILINE)
    assert line is not None
    assert line[1] == (
        f"{limits.MAX_BYTES // 10**6} MB a file, {limits.MAX_ROWS:,} rows, {limits.MAX_COLUMNS} columns, "
        f"{limits.MAX_CELL:,} characters a cell, "
        f"{limits.MAX_QTY:,} pieces of a part, amounts up to {limits.MAX_MONEY:,}."
    )


def test_the_notations_on_the_lengths_page_are_taken() -> None:
    page = (REFERENCE / "lengths.md").read_text(encoding="utf-8")
    typed = [t for row in re.findall(r"^\| (`[^|]*) \|", page, re.MULTILINE) for t in re.findall(r"`([^`]+)`", row)]
    assert len(typed) > 15
    for text in typed:
        parse_length(text, "in")
