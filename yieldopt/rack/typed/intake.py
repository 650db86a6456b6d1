"""What a person types about one board, on the command line, at the prompt or in a form, to a record: the same validation
as for files, every mistake at once."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from yieldopt.ground.errors import InputError, Problem
from yieldopt.ground.lengths import Units
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.typed.extras import COLUMNS, ExtrasReader, as_notes
from yieldopt.reading.boards import boards_of
from yieldopt.reading.cells import as_meant
from yieldopt.reading.columns import BOARDS
from yieldopt.reading.tables import Cells, Table, TableRow
from yieldopt.reading.writing import board_files
from yieldopt.wood.lumber import DEFECT_KINDS

DEFECT_COLUMNS = ("kind", "face", "x", "y", "length", "width")
EDGE_COLUMNS = ("x", "near", "far")
DEFECT_FORM = "KIND FACE X Y LENGTH WIDTH such as: knot A 15 7-1/2 1 1/2 (or with commas: knot, A, 15, 7 1/2, 1, 1/2)"
EDGE_FORM = "X NEAR FAR such as: 36 0 4-3/4"


@dataclass(frozen=True)
class Typed:
    """One board as typed: cells by the columns of `boards.csv` and of `extras.COLUMNS`; other columns are notes."""

    cells: Mapping[str, str]
    # Each with the keys of DEFECT_COLUMNS.
    defects: Sequence[Mapping[str, str]] = field(default=())
    # Each with the keys of EDGE_COLUMNS.
    edges: Sequence[Mapping[str, str]] = field(default=())


def to_record(typed: Typed, units: Units, source: str) -> RackBoard:
    """The record; its id is `rack_id` if that was typed, else new. `source` names the input in messages.

    Raises `InputError` with every mistake; a defect's or edge's row in a message is its place in the list.
    """
    problems: list[Problem] = []
    record = try_record(typed, units, source, problems)
    if problems or record is None:
        raise InputError(problems)
    return record


def try_record(typed: Typed, units: Units, source: str, problems: list[Problem]) -> RackBoard | None:
    """As `to_record`, with the mistakes appended to `problems`."""
    known = {k: v.strip() if k in BOARDS.known else v for k, v in typed.cells.items() if v.strip()}
    cells = {k: v for k, v in known.items() if k in BOARDS.known}
    notes = {k: v for k, v in known.items() if k not in BOARDS.known and k not in COLUMNS}
    name = cells.get("board", "")
    table = Table(source, (TableRow(1, Cells(cells), notes),))
    defects = Table(f"{source}, defects", _rows(name, typed.defects, DEFECT_COLUMNS))
    edges = Table(f"{source}, edges", _rows(name, typed.edges, EDGE_COLUMNS))
    found: list[Problem] = []
    boards, _ = boards_of(table, edges if typed.edges else None, defects if typed.defects else None, units, found)
    # One board was typed: its row needs no number.
    problems.extend(replace(p, row=None) if p.file == source else p for p in found)
    if not boards:
        return None
    return ExtrasReader(source, None, units, problems).record(boards[0], known)


def typed_of(record: RackBoard, units: Units) -> Typed:
    """The record as somebody would type it: what a correction starts from."""
    files = board_files([as_notes(record, units)], units)
    tables = {
        stem: [{k: as_meant(v) for k, v in row.items()} for row in csv.DictReader(io.StringIO(files[f"{stem}.csv"], newline=""))]
        for stem in ("boards", "defects", "edges")
    }
    defects, edges = ([{k: v for k, v in row.items() if k != "board"} for row in tables[stem]] for stem in ("defects", "edges"))
    return Typed(tables["boards"][0], defects, edges)


def _rows(board: str, rows: Sequence[Mapping[str, str]], columns: Sequence[str]) -> tuple[TableRow, ...]:
    return tuple(
        TableRow(
            n,
            Cells({"board": board} | {k: r[k].strip() for k in columns if k in r}),
            {k: v for k, v in r.items() if k not in columns and v.strip()},
        )
        for n, r in enumerate(rows, 1)
    )


def parse_defect(text: str) -> dict[str, str] | str:
    """A defect in one line to its cells, or what was expected. The face may be left out (both)."""
    return _parse(text, DEFECT_FORM, lengths=4, columns=("x", "y", "length", "width"), kind=True)


def parse_edge(text: str) -> dict[str, str] | str:
    """An edge point in one line to its cells, or what was expected."""
    return _parse(text, EDGE_FORM, lengths=3, columns=EDGE_COLUMNS, kind=False)


def _parse(text: str, form: str, lengths: int, columns: tuple[str, ...], kind: bool) -> dict[str, str] | str:
    parts = [p.strip() for p in text.split(",")] if "," in text else text.split()
    cells: dict[str, str] = {}
    if kind:
        for words in (2, 1):
            name = " ".join(parts[:words]).lower()
            if name in DEFECT_KINDS:
                cells["kind"] = name
                parts = parts[words:]
                break
        else:
            return form + "; kinds: " + ", ".join(sorted(DEFECT_KINDS))
        if parts and parts[0].lower() in ("a", "b", "both"):
            cells["face"] = parts.pop(0)
    if "," not in text:
        parts = _rejoin(parts, lengths)
    if len(parts) != lengths:
        return form
    return cells | dict(zip(columns, parts, strict=True))


def _rejoin(words: list[str], wanted: int) -> list[str]:
    """Words to `wanted` lengths where `7 1/2` was parted at its blank, if only one reading gives that many; else as they are."""
    if len(words) == wanted:
        return words
    readings = [[]] if not words else _readings(words)
    fitting = [r for r in readings if len(r) == wanted]
    return fitting[0] if len(fitting) == 1 else words


def _readings(words: list[str]) -> list[list[str]]:
    if len(words) > 12:
        return [words]
    found: list[list[str]] = [[]]
    for word in words:
        longer = [[*r, word] for r in found]
        if re.fullmatch(r"\d+/\d+\S*", word):
            longer += [[*r[:-1], f"{r[-1]} {word}"] for r in found if r and re.fullmatch(r"-?\d+'?|.*' ?-?\d+", r[-1])]
        elif re.match(r"\d", word):
            longer += [[*r[:-1], f"{r[-1]} {word}"] for r in found if r and r[-1].endswith("'")]
        found = longer
    return found
