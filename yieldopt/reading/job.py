"""A whole job folder: every file read, every mistake collected, a `Job` only if there was none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from yieldopt.ground.errors import InputError, Problem, Problems
from yieldopt.ground.lengths import Units
from yieldopt.reading.boards import BoardNames, boards_in, defects_in
from yieldopt.reading.oddities import oddities
from yieldopt.reading.parts import parts_in, pins_in
from yieldopt.reading.prices import prices_in
from yieldopt.reading.settings import FILE, settings_in, units_in
from yieldopt.wood.lumber import Board, Defect, Job


def read_job(folder: Path, boards: Sequence[Board] | None = None, held: Mapping[str, str] | None = None) -> Job:
    """Read a job folder. `boards` are those of a rack: the folder's own boards, defects and edges are then not looked at.

    `held`: boards of that rack that other jobs hold -> the job. A part may name some of them and comes from the others; it is
    a mistake if it could come from no other, or if a pin lies on one.

    Raises `InputError` with every mistake found in any of the files; nothing is ever written.
    """
    problems = _folder_problems(folder, "a job folder with job.toml, parts.csv and boards.csv")
    settings = settings_in(folder, problems)
    if boards is None:
        found, names = boards_in(folder, settings.units, problems)
    else:
        found, names = tuple(boards), BoardNames((b.name for b in boards), held=held)
    parts, parts_known = parts_in(folder, settings.units, settings.shop, names, problems)
    pins = pins_in(folder, settings.units, parts, parts_known, names, problems)
    prices = prices_in(folder, settings.units, problems)
    if names.known:
        strangers = [name for name in settings.leave if name not in names.seen and name not in names.held]
        line = settings.lines.get("boards.leave")
        problems.extend(Problem(FILE, line, "boards.leave", name, "a board that is in the boards table") for name in strangers)
    _raise(problems)
    leave = frozenset(settings.leave) & names.seen
    job = Job(settings.name, settings.units, parts, found, settings.shop, pins, leave, prices)
    return replace(job, remarks=tuple(map(str, (*problems.remarks, *oddities(job)))))


def job_name(folder: Path) -> str:
    """The name in `job.toml`, with no complaint about anything in the folder; "" where it can't be read."""
    return settings_in(folder, []).name


def read_boards(folder: Path, units: Units | None = None) -> tuple[Board, ...]:
    """The boards of a folder with their defects and edges, for loading a rack; the rest of the folder is not looked at.

    Bare numbers are in `units`; where None, in those of the folder's own `job.toml`, else inches. Raises `InputError`.
    """
    problems = _folder_problems(folder, "a folder with boards.csv")
    boards, _ = boards_in(folder, units or units_in(folder) or "in", problems)
    _raise(problems)
    return boards


def read_defects(path: Path, boards: Sequence[Board], units: Units) -> dict[str, tuple[Defect, ...]]:
    """Defects found later, in a file (CSV or .xlsx) with the columns of `defects.csv`: board name -> its new defects.

    Raises `InputError` where the file can't be read, names a board not in `boards`, or places a defect off its board.
    """
    problems: list[Problem] = []
    found = defects_in(path, boards, units, problems)
    _raise(problems)
    return found


def _folder_problems(folder: Path, expected: str) -> Problems:
    if not folder.is_dir():
        raise InputError([Problem(str(folder), None, None, "a file" if folder.exists() else None, expected)])
    return Problems()


def _raise(problems: Sequence[Problem]) -> None:
    if problems:
        raise InputError(problems)
