"""What is wrong with tables that are being typed, in the words of the command line: they are read as a job without being kept."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from yieldopt.desk.tables import LEAVE, SETTINGS, Grid, written
from yieldopt.ground.errors import InputError
from yieldopt.reading import read_job
from yieldopt.wood.lumber import Job


@dataclass(frozen=True)
class Mistake:
    """One mistake: its table (or file), its row and column in the grid as typed (None: the whole table), and its words."""

    table: str
    row: int | None
    column: str | None
    text: str


@dataclass(frozen=True)
class Judged:
    """The job that the tables are, or None with the `mistakes`; `remarks` stop nothing."""

    job: Job | None
    mistakes: tuple[Mistake, ...]
    remarks: tuple[str, ...]


def judged(folder: Path, grids: Mapping[str, Grid]) -> Judged:
    """Read the job in `folder` with these tables in place of its own. Nothing is written there."""
    with tempfile.TemporaryDirectory(prefix="yieldopt-desk-") as temporary:
        # The folder's name stands in messages.
        trial = Path(temporary) / (folder.resolve().name or "job")
        trial.mkdir()
        for path in folder.iterdir():
            if path.suffix in (".toml", ".csv", ".xlsx") and path.is_file() and path.stem not in grids:
                shutil.copy(path, trial)
        for stem, grid in grids.items():
            if stem == LEAVE:
                if (trial / SETTINGS).exists():
                    (trial / SETTINGS).write_text(written(folder, stem, grid), encoding="utf-8")
            elif grid.elsewhere is None and (grid.rows or grid.digest):
                (trial / f"{stem}.csv").write_text(grid.text(), encoding="utf-8")
            elif grid.elsewhere is not None and not (trial / grid.elsewhere).exists():
                shutil.copy(folder / grid.elsewhere, trial)
        try:
            job = read_job(trial)
        except InputError as error:
            found = tuple(_placed(p.file, p.row, p.column, str(p), grids) for p in error.problems)
            return Judged(None, found, ())
        return Judged(job, (), job.remarks)


def _placed(file: str, row: int | None, column: str | None, text: str, grids: Mapping[str, Grid]) -> Mistake:
    stem = file.removesuffix(".csv")
    if file == SETTINGS:
        return Mistake(file, None, None, text)
    grid = grids.get(stem)
    if grid is None or row is None:
        return Mistake(stem, None, column, text)
    # The header is row 1; rows that hold nothing are not written.
    filled = grid.filled()
    place = filled[row - 2] if 2 <= row < len(filled) + 2 else None
    return Mistake(stem, place, column, text)
