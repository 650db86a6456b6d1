"""What every page of one packet shares: the job, the plan, its figures in the shop's way of writing lengths."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property, lru_cache

from yieldopt.drawing.page.filling import Running
from yieldopt.drawing.page.paper import Paper
from yieldopt.drawing.page.tints import Look, set_looks
from yieldopt.ground.lengths import MM_PER_INCH, TAPE_FROM, in_fractions, in_mm, on_a_tape
from yieldopt.insight.leftovers import RoughPiece, WoodAccount, regions, wood_account
from yieldopt.insight.resaw_worth import ResawWorth, resaw_worths
from yieldopt.insight.second_choice import Choice, second_choices
from yieldopt.insight.slack import BlankSlack, PieceSlack, run_places, slacks
from yieldopt.records.study import StudyRecord
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Piece, Plan

FOOT = "Not a substitute for the machine maker's instructions, local rules and trained practice."


# A packet prints each figure many times. Kept by numerator and denominator: the hash of a fraction takes longer than both.
@lru_cache(maxsize=20_000)
def _kept(numerator: int, denominator: int) -> tuple[str, str, str]:
    length = Fraction(numerator, denominator)
    return in_fractions(length), in_mm(length), on_a_tape(length, "mm")


def _fractions(length: Fraction) -> str:
    return _kept(length.numerator, length.denominator)[0]


def _mm(length: Fraction) -> str:
    return _kept(length.numerator, length.denominator)[1]


def _on_a_tape(length: Fraction) -> str:
    return _kept(length.numerator, length.denominator)[2]


@dataclass(frozen=True)
class Setting:
    """Everything the front ends read. Made by `setting_for`."""

    job: Job
    plan: Plan
    paper: Paper
    # As printed, e.g. "2025-03-14".
    date: str
    blank_slack: Mapping[str, BlankSlack]
    piece_slack: Mapping[str, PieceSlack]
    choices: Mapping[str, tuple[Choice, ...]]
    # What the rough cuts leave of each board, and where its wood went.
    regions: Mapping[str, tuple[RoughPiece, ...]]
    accounts: Mapping[str, WoodAccount]
    # By name of the resawn blank.
    worths: Mapping[str, ResawWorth]
    # What `source.json` holds; None: what to buy was not studied.
    buying: StudyRecord | None = None
    # Whether every page keeps to the paper as it lies; else sheets are turned as fits their board.
    held: bool = False
    # (x, y, length, width) as floats of the plan's rectangles and cuts, by `id`: every row of every paper asks again.
    spans: dict[int, tuple[float, float, float, float]] = field(default_factory=dict, compare=False, repr=False)
    # The same of finished parts inside their rough pieces, by the piece's name.
    finished: dict[str, tuple[float, float, float, float]] = field(default_factory=dict, compare=False, repr=False)
    # Rows of lists, which say the same on every paper: see `rows`.
    listed: dict[tuple[str, str], list[tuple[str, ...]]] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def part_numbers(self) -> Mapping[str, int]:
        """The line of the parts list each part stands in: the number in a ring on lists, sheets and labels."""
        return {part.name: n for n, part in enumerate(self.job.parts, 1)}

    @cached_property
    def looks(self) -> Mapping[str, Look]:
        """The tint and pattern of every set."""
        return set_looks(self.plan)

    def rows(self, what: str, board: str, make: Callable[[], list[tuple[str, ...]]]) -> list[tuple[str, ...]]:
        """The rows of one list of one board, made once for all papers."""
        if (what, board) not in self.listed:
            self.listed[what, board] = make()
        return self.listed[what, board]

    @cached_property
    def run_places(self) -> Mapping[str, tuple[bool, bool]]:
        """`slack.run_places` of all boards."""
        return {piece: ends for bp in self.plan.boards for piece, ends in run_places(bp, self.job).items()}

    def board(self, name: str) -> Board:
        return self.job.board_named[name]

    def main(self, length: Fraction) -> str:
        """A length in the job's own units, without its mark: `31 1/2`."""
        return _fractions(length) if self.job.units == "in" else _on_a_tape(length)

    def mark(self, length: Fraction) -> str:
        """Where a rough cut is marked: the finest fraction the tape has. On rough wood nothing hangs on what that rounds off,
        so it goes without the sign for it."""
        return self.main(length).removeprefix("~")

    def beside(self, length: Fraction) -> str:
        """The same in the other units: `800.1 mm`."""
        return f"{_mm(length)} mm" if self.job.units == "in" else f'{_fractions(length)}"'

    def both(self, length: Fraction) -> str:
        """`31 1/2 (800.1 mm)`."""
        return f"{self.main(length)} ({self.beside(length)})"

    def size(self, length: Fraction, width: Fraction) -> str:
        return f"{self.main(length)} × {self.main(width)}"

    def rough_size(self, length: Fraction, width: Fraction) -> str:
        """A blank as it comes off the saw, to the finest fraction below: along an outline it is as wide as the wood."""
        if self.job.units == "mm":
            return self.size(length, width)
        return self.size(Fraction(math.floor(length * 64), 64), Fraction(math.floor(width * 64), 64))

    def size_beside(self, length: Fraction, width: Fraction) -> str:
        if self.job.units == "in":
            return f"{_mm(length)} × {_mm(width)} mm"
        return f'{_fractions(length)}" × {_fractions(width)}"'

    def spare(self, length: Fraction) -> str:
        """What is to spare, rounded down to 1/64 in or 0.1 mm: never more than there is."""
        if length <= 0:
            return self.main(length)
        if self.job.units == "mm":
            step = 5 if length >= TAPE_FROM else 1
            tenths = math.floor(length * MM_PER_INCH * 10 / step) * step
            return f"{tenths / 10:g}" if tenths else "under 0.1"
        whole = Fraction(math.floor(length * 64), 64)
        return self.main(whole) if whole else "under 1/64"

    def has_triangle(self, piece: Piece) -> bool:
        """Whether the piece belongs to a set that is kept in order by the cabinetmaker's triangle."""
        return piece.set is not None and (
            piece.stave is not None or self.job.part_named[piece.part].match_kind in ("book", "slip", "run")
        )

    @property
    def units_note(self) -> str:
        return "inches, mm beside · ↑ this side up" if self.job.units == "in" else "mm, inches beside · ↑ this side up"

    @property
    def missing(self) -> str:
        """One sentence naming what the plan could not place; empty for a complete plan."""
        if self.plan.complete:
            return ""
        parts = ", ".join(f"{u.part} × {u.qty}" for u in self.plan.unplaced)
        return f"INCOMPLETE PLAN: not every part has a place. Don't cut before that is settled. Missing: {parts}."

    @property
    def missing_short(self) -> str:
        """The same in one line, where the first page says the rest; empty for a complete plan."""
        count = sum(u.qty for u in self.plan.unplaced)
        parts = "1 part has" if count == 1 else f"{count} parts have"
        return f"INCOMPLETE PLAN: {parts} no place (page 1 names them). Don't cut before that is settled." if count else ""

    def running(self, title: str, kind: str) -> Running:
        """Head of pages of one kind: job, revision and date on each."""
        right = (f"job: {self.plan.job}", f"plan revision {self.plan.revision} · {self.date}", self.units_note)
        return Running(title, right, self.missing if kind == "cover" else self.missing_short, FOOT, kind)


def setting_for(job: Job, plan: Plan, paper: Paper, date: str) -> Setting:
    """Work out what the pages need once, for one paper."""
    blanks, pieces = slacks(job, plan)
    left = {bp.board: regions(job.board_named[bp.board], bp, job) for bp in plan.boards}
    accounts = {bp.board: wood_account(job.board_named[bp.board], bp, job, left[bp.board]) for bp in plan.boards}
    return Setting(
        job,
        plan,
        paper,
        date,
        {b.blank: b for b in blanks},
        {p.piece: p for p in pieces},
        second_choices(job, plan, left),
        left,
        accounts,
        resaw_worths(job, plan),
    )
