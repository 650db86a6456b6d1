"""A job's tables as a grid of texts: read as they stand, written all or none, never over what somebody else wrote meanwhile."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from yieldopt.desk.leaving import leaving, left
from yieldopt.ground.errors import InputError, Problem, YieldoptError
from yieldopt.ground.files import finish_writing, write_all_atomically
from yieldopt.reading.columns import BOARDS, DEFECTS, EDGES, PARTS, PINS, PRICES, Columns
from yieldopt.reading.headers import header_at, known_among
from yieldopt.reading.textfile import csv_rows

TABLES: Mapping[str, Columns] = {c.stem: c for c in (PARTS, BOARDS, DEFECTS, EDGES, PINS, PRICES)}
# A table that is not there yet.
NONE = ""
# The boards that the job leaves alone: a list in its settings, here a table of one column.
LEAVE = "leave"
SETTINGS = "job.toml"


@dataclass(frozen=True)
class Grid:
    """One table: its header and rows as typed, a row as long as the header. `digest` is of the file that it was read from,
    `NONE` where there was none; `elsewhere` names a workbook that holds it instead, which is not edited here."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    digest: str = NONE
    elsewhere: str | None = None

    def filled(self) -> list[int]:
        """Places of the rows that hold anything: the others are not written."""
        return [n for n, row in enumerate(self.rows) if any(c.strip() for c in row)]

    def text(self) -> str:
        """As a CSV file: the header, then the rows that hold anything."""
        out = io.StringIO(newline="")
        csv.writer(out, lineterminator="\n").writerows([self.columns, *(self.rows[n] for n in self.filled())])
        return out.getvalue()


class ChangedMeanwhile(YieldoptError):
    """Tables that another program wrote since they were read; `theirs` is how they stand now."""

    def __init__(self, theirs: dict[str, Grid]) -> None:
        self.theirs = theirs
        super().__init__(f"changed by another program meanwhile: {', '.join(map(file_of, theirs))}")


def load(folder: Path) -> dict[str, Grid]:
    """Every table of the job, those that are not there with their needed columns and no rows.

    Raises `InputError` where a file can't be read as a table at all.
    """
    finish_writing(folder)
    problems: list[Problem] = []
    found = {stem: _load(folder, columns, problems) for stem, columns in TABLES.items()}
    found[LEAVE] = _left(folder)
    if problems:
        raise InputError(problems)
    return found


def _load(folder: Path, columns: Columns, problems: list[Problem]) -> Grid:
    path = folder / f"{columns.stem}.csv"
    if not path.exists():
        books = [p.name for p in (folder / f"{columns.stem}.xlsx", folder / "job.xlsx") if p.exists()]
        return Grid(columns.needed, (), NONE, books[0] if books else None)
    digest = _digest(path)
    raw = csv_rows(path, path.name, lambda cells: known_among(cells, columns), problems) or []
    raw = raw[header_at(raw, columns) :] if raw else raw
    if not raw:
        return Grid(columns.needed, (), digest)
    header = [c.strip() for c in raw[0][1]]
    wide = max(len(header), max((_length(cells) for _, cells in raw[1:]), default=0))
    header += [""] * (wide - len(header))
    rows = tuple(tuple([*cells, *[""] * wide][:wide]) for _, cells in raw[1:] if any(c.strip() for c in cells))
    return Grid(tuple(header), rows, digest)


def _left(folder: Path) -> Grid:
    path = folder / SETTINGS
    text = path.read_text(encoding="utf-8-sig", errors="replace") if path.exists() else ""
    return Grid(("board",), tuple((n,) for n in left(text)), _digest(path))


def file_of(stem: str) -> str:
    """Where a table lies in the folder."""
    return SETTINGS if stem == LEAVE else f"{stem}.csv"


def written(folder: Path, stem: str, grid: Grid) -> str:
    """The text of the table's file."""
    if stem != LEAVE:
        return grid.text()
    names = dict.fromkeys(c.strip() for row in grid.rows for c in row[:1] if c.strip())
    path = folder / SETTINGS
    return leaving(path.read_text(encoding="utf-8-sig") if path.exists() else "", list(names))


def _length(cells: Sequence[str]) -> int:
    return max((n for n, c in enumerate(cells, 1) if c.strip()), default=0)


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.exists() else NONE


def save(folder: Path, grids: Mapping[str, Grid]) -> dict[str, Grid]:
    """Write these tables, all or none, and say how they stand then.

    Raises `ChangedMeanwhile` where a file is no longer the one that its grid was read from: nothing is written then.
    `OSError` where it can't be.
    """
    finish_writing(folder)
    changed = [stem for stem, grid in grids.items() if _digest(folder / file_of(stem)) != grid.digest]
    if changed:
        now = load(folder)
        raise ChangedMeanwhile({stem: now[stem] for stem in changed})
    write_all_atomically(folder, {file_of(stem): written(folder, stem, grid) for stem, grid in grids.items()})
    now = load(folder)
    return {stem: now[stem] for stem in grids}
