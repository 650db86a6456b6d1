"""Surprises drawn at random for a plan: as facts, and as a person tells them."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction
from random import Random

from yieldopt.ground.errors import InputError
from yieldopt.ground.lengths import as_typed
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.telling import happened
from yieldopt.wood.lumber import DEFECT_KINDS, Board, Defect, Job
from yieldopt.wood.plan import Plan


def a_defect(rng: Random, board: Board) -> Defect:
    """A defect somewhere on the board, of any kind, from a pinhole to a split of some length."""
    length = board.length * rng.randint(1, 20) / 200
    low, high = board.channel(0 * board.length, board.length)
    width = min(high - low, board.width * rng.randint(1, 10) / 40)
    x = (board.length - length) * rng.randint(0, 16) / 16
    y = low + max(0 * low, high - low - width) * rng.randint(0, 8) / 8
    return Defect(rng.choice(sorted(DEFECT_KINDS)), rng.choice(("A", "B", "both")), x, y, length, width)


def a_surprise(rng: Random, job: Job, plan: Plan) -> Surprise:
    pieces = [p for _, p in plan.pieces()]
    open_ones = [p.piece for p in pieces if p.state == "planned"]
    done = frozenset(rng.sample(open_ones, min(len(open_ones), rng.randint(0, 2))))
    spoiled = frozenset({rng.choice(pieces).piece} if pieces and rng.random() < 0.5 else ())
    found = {}
    if rng.random() < 0.5:
        board = rng.choice(job.boards)
        if board.channel(0 * board.length, board.length)[1] > board.channel(0 * board.length, board.length)[0]:
            found[board.name] = (a_defect(rng, board),)
    through = {}
    cut = [b for b in plan.boards if b.cuts]
    if cut and rng.random() < 0.4:
        entry = rng.choice(cut)
        through[entry.board] = rng.choice(entry.cuts).order
    return Surprise(done, spoiled, found, through)


def some_lines(rng: Random, job: Job, plan: Plan) -> list[str]:
    """Up to two surprises as a person tells them."""

    def inches(low: float, high: float) -> str:
        return as_typed(Fraction(round((low + (high - low) * rng.random()) * 8), 8), job.units)

    lines = []
    pieces = [p for _, p in plan.pieces()]
    for _ in range(rng.randint(0, 2)):
        b, part = rng.choice(job.boards), rng.choice(job.parts)
        choices = [
            f"board {b.name}: thick {inches(float(b.thickness) * 0.8 + 0.1, float(b.thickness) + 0.2)}",
            f"board {b.name}: long {inches(float(b.length) / 2 + 1, float(b.length) + 1)}",
            f"part {part.name}: qty {rng.randint(1, part.qty + 1)}",
            f"part {part.name}: length {inches(float(part.length), float(part.length) + 1)}",
        ]
        if rng.random() < 0.2:
            choices.append(f"board {b.name}: unusable")
        if pieces:
            p = rng.choice(pieces)
            choices += [
                f"piece {p.piece}: spoiled, good {inches(1, float(p.length))} x {inches(0.5, float(p.width))} at 0, 0",
                f"piece {p.piece}: {rng.choice(sorted(DEFECT_KINDS))} on A at 0, 0, 1 x 1",
                f"piece {p.piece}: thick {inches(0.2, 2)}",
                f"blank {p.blank}: long {inches(float(p.length) / 2, float(p.length) + 1)}",
                f"blank {p.blank}: thick {inches(0.5, 2)}",
                f"blank {p.blank}: knot after layer 1 at 0, 0, 1 x 1",
            ]
        lines.append(rng.choice(choices))
    return lines


def told_or_not(job: Job, plan: Plan, lines: list[str], base: Surprise) -> Surprise:
    """The lines that can be true of this plan; the others must be refused in words."""
    for line in lines:
        with suppress(InputError):
            base = happened(job, plan, [line], base)
    return base
