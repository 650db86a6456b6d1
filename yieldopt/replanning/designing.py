"""The designer adds, changes or drops a part: the parts list anew, read by the same rules as `parts.csv`."""

from __future__ import annotations

import csv
import re
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from yieldopt.ground.errors import Problem
from yieldopt.reading.boards import BoardNames
from yieldopt.reading.columns import PARTS
from yieldopt.reading.parts import parts_in
from yieldopt.reading.writing import job_files
from yieldopt.wood.lumber import Job, Part

_COLUMN = re.compile(rf"(?P<column>{'|'.join(sorted(PARTS.known, key=len, reverse=True))})\s+(?P<value>.*)")


def changed_parts(job: Job, changes: Sequence[tuple[str, str, str]], option: str) -> tuple[tuple[Part, ...], list[Problem]]:
    """The parts after changes given as (part, `COLUMN VALUE, ...`, the line as typed); `qty 0` drops a part. And every
    mistake, also those between parts, such as a pair without its other half."""
    problems: list[Problem] = []
    rows = list(csv.DictReader(job_files(job)["parts.csv"].splitlines()))
    table = {row["part"]: row for row in rows}
    notes = {p.name: p.notes for p in job.parts}
    for name, text, line in changes:
        row = table.setdefault(name, {"part": name})
        for item in filter(None, (t.strip() for t in text.split(","))):
            m = _COLUMN.fullmatch(item)
            if m is None or m["column"] == "part":
                expected = f"COLUMN VALUE with a column of parts.csv where it says {item!r}"
                problems.append(Problem(option, None, None, line, expected))
            else:
                row[m["column"]] = m["value"]
    if problems:
        return (), problems
    kept = [row for row in table.values() if row.get("qty", "").strip() != "0"]
    with tempfile.TemporaryDirectory() as folder:
        with (Path(folder) / "parts.csv").open("w", encoding="utf-8", newline="") as f:
            writer = csv.DictWriter(f, PARTS.known, extrasaction="ignore", restval="")
            writer.writeheader()
            writer.writerows(kept)
        parts, _ = parts_in(Path(folder), job.units, job.shop, BoardNames(job.board_named), problems)
    named = [replace(p, file=option, row=None, column=f"{_name(kept, p.row)}{p.column or ''}") for p in problems]
    return tuple(replace(p, notes=notes.get(p.name, p.notes)) for p in parts), named


def _name(rows: Sequence[dict[str, str]], row: int | None) -> str:
    """The part that a row of the table made here is about."""
    return f"part {rows[row - 2]['part']}, " if row is not None and 2 <= row < len(rows) + 2 else ""
