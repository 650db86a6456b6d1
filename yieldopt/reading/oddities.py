"""Figures that are allowed and hardly meant: millimetres among inches, sizes swapped, a species that differs by a letter."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from fractions import Fraction

from yieldopt.ground.errors import Remark
from yieldopt.ground.lengths import show
from yieldopt.wood.lumber import Board, Job, Part

# Above these a length in an inch job was probably meant in millimetres: no furniture part or board is so thick, wide or long.
LIKELY_THICKNESS, LIKELY_WIDTH, LIKELY_LENGTH = Fraction(12), Fraction(60), Fraction(400)
# Below these a length in a mm job was probably meant in inches.
LEAST_THICKNESS, LEAST_LENGTH = Fraction(3, 254) * 10, Fraction(20, 254) * 10


def oddities(job: Job) -> Iterator[Remark]:
    """What is odd about a job that could be read; one remark for each part, board or species."""
    for part in job.parts:
        text = _odd_part(job, part) or _odd_sizes(job, part.thickness, part.width, part.length)
        if text:
            yield Remark("parts", None, part.name, text)
    for board in job.boards:
        text = _odd_board(job, board) or _odd_sizes(job, board.thickness, board.greatest_width, board.length)
        if text:
            yield Remark("boards", None, board.name, text)
    yield from _odd_species(job)


def _odd_sizes(job: Job, thickness: Fraction, width: Fraction, length: Fraction) -> str | None:
    sizes = " x ".join(show(s, job.units) for s in (length, width, thickness))
    if job.units == "in" and (thickness > LIKELY_THICKNESS or width > LIKELY_WIDTH or length > LIKELY_LENGTH):
        return f"{sizes} in an inch job: was it measured in millimetres? Write 187mm, or set units in job.toml"
    if job.units == "mm" and (thickness < LEAST_THICKNESS or length < LEAST_LENGTH):
        return f"{sizes} in a millimetre job: was it measured in inches? Write 7 3/8 in, or set units in job.toml"
    return None


def _odd_part(job: Job, part: Part) -> str | None:
    if part.width > part.length and part.grain == "length" and part.staves is None:
        size = f"{show(part.width, job.units)} wide, {show(part.length, job.units)} long"
        return f"{size}: the length is along the grain; are width and length swapped?"
    return None


def _odd_board(job: Job, board: Board) -> str | None:
    if board.greatest_width > board.length:
        size = f"{show(board.greatest_width, job.units)} wide, {show(board.length, job.units)} long"
        return f"{size}: the length is along the grain; are width and length swapped?"
    if board.thickness > board.greatest_width:
        return f"{show(board.greatest_width, job.units)} wide, {show(board.thickness, job.units)} thick: narrower than thick"
    return None


def _odd_species(job: Job) -> Iterator[Remark]:
    """Species of parts that no board has, though one has nearly that name."""
    there = sorted({b.species for b in job.boards})
    for species in sorted({p.species for p in job.parts} - set(there)):
        same_letters = [s for s in there if sorted(s) == sorted(species)]
        near = same_letters or difflib.get_close_matches(species, there, 1, 0.8)
        if near:
            yield Remark("parts", None, "species", f"{species}: no board is of it; was {near[0]} meant?")
