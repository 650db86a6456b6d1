"""Jobs with everything that a folder can hold: notes in every table, price sheets, money as people write it; and comparison
that looks at notes too, which equality of the lumber types passes over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from fractions import Fraction as F
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from strategies import NOMINAL, SPECIES, jobs, lengths, names

from yieldopt.reading.columns import TABLES
from yieldopt.wood.lumber import Board, Job, PriceLine

_KNOWN = {c for table in TABLES for c in table.known}
# What spreadsheets, CSV and XML could mistake for something else.
_HOSTILE_NOTES = (
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "'=1",
    "''=1",
    "'",
    "'quoted'",
    '"',
    'say "no"',
    "a,b",
    "a;b",
    " spaced ",
    "line\nbreak",
    "tab\tbed",
    "\ttab",
    "#REF!",
    "TRUE",
    "4/4",
    "1e5",
    "007",
    "2024-04-04",
    "_x0041_",
    "_x005F_",
    "&amp;",
    "<b>",
    "nan",
    "木",
)


def notes_of_one() -> st.SearchStrategy[str]:
    """The text of one note: anything printable, line breaks and leading signs included."""
    letters = st.characters(categories=["L", "N", "P", "S", "Zs"], codec="utf-8", include_characters="\n\t")
    return st.sampled_from(_HOSTILE_NOTES) | st.text(letters, min_size=1, max_size=20).filter(lambda t: bool(t.strip()))


def notes() -> st.SearchStrategy[dict[str, str]]:
    """Unknown columns of one row, e.g. {"bay": "2", "=header": "'='"}."""
    header = st.sampled_from(["bay", "Bay", "note", "bought at", "=header", "'-x", "a,b"]) | names()
    usable = header.filter(lambda h: "_".join(h.lower().replace("-", " ").replace("_", " ").split()) not in _KNOWN)
    return st.dictionaries(usable, notes_of_one(), max_size=2)


def money() -> st.SearchStrategy[F]:
    """Whole amounts, cents, and shares of another board's price that no decimal holds."""
    return (
        st.integers(0, 500).map(F)
        | st.integers(0, 50_000).map(lambda n: F(n, 100))
        | st.fractions(0, 1000, max_denominator=10_000)
    )


@st.composite
def price_lines(draw: st.DrawFn, units: str) -> PriceLine:
    """One line of a price sheet, limits in order."""
    quarters = draw(st.sampled_from(sorted(NOMINAL)))
    maybe = st.none() | lengths(units, 1, 20)
    wide, long = draw(maybe), draw(maybe)
    share = st.sampled_from([F(0), F(1, 10), F(3, 20), F(1, 3)])
    return PriceLine(
        draw(names()),
        draw(st.sampled_from(SPECIES)),
        quarters,
        NOMINAL[quarters],
        draw(st.sampled_from(["", "prime", "=grade"])),
        draw(money()),
        draw(st.none() | lengths(units, 0, 70)),
        draw(st.none() | lengths(units, 71, 200)),
        draw(st.none() | lengths(units, 0, 5)),
        draw(st.none() | lengths(units, 6, 20)),
        wide,
        draw(share) if wide else F(0),
        long,
        draw(share) if long else F(0),
        draw(st.sampled_from(["exact", "rounded"])),
        draw(money()),
        draw(money()),
        draw(notes()),
    )


@st.composite
def annotated_boards(draw: st.DrawFn, board: Board) -> Board:
    """The board with notes, also on its defects and edges, and odd money."""
    board = replace(
        board,
        notes=draw(notes()),
        defects=tuple(replace(d, notes=draw(notes())) for d in board.defects),
        edges=tuple(replace(e, notes=draw(notes())) for e in board.edges),
    )
    return replace(board, cost=draw(money())) if board.cost is not None else board


@st.composite
def annotated_jobs(draw: st.DrawFn) -> Job:
    """A whole job with notes and prices."""
    job = draw(jobs(most_boards=3, most_rows=3))
    return replace(
        job,
        parts=tuple(replace(p, notes=draw(notes())) for p in job.parts),
        boards=tuple(draw(annotated_boards(b)) for b in job.boards),
        pins=tuple(replace(p, notes=draw(notes())) for p in job.pins),
        prices=tuple(draw(st.lists(price_lines(job.units), max_size=2))),
    )


def everything(value: Any) -> Any:
    """A value with all its fields, those included that equality leaves out."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: everything(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Mapping):
        return dict(value)
    return [everything(v) for v in value] if isinstance(value, tuple) else value


def put(folder: Path, files: Mapping[str, str | bytes]) -> Path:
    """Write files into a new folder below `folder`, byte for byte."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return folder
