"""A plan as the tree the shop cuts by. Lengths are `Fraction` inches; frames as in `lumber.py`.

The types say how they stand in `plan.json`, too (see `jsonform.py`); `records/planfile.py` reads and writes it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Annotated, ClassVar, Literal, Protocol, TypeVar

from pydantic import Field

from yieldopt.ground.jsonform import FORM, IF_ANY, Credit, Length, Money, needs, or_else
from yieldopt.ground.lengths import Units

# JSON numbers of millimetres come back within this of the fraction they stand for, in inches.
HAIR = Fraction(1, 1_000_000)

Stage = Literal["rough", "resaw", "final"]
CutKind = Literal["crosscut", "rip", "resaw"]
State = Literal["planned", "done"]
Show = Literal["A", "B", "sawn"]
Hinge = Literal["near", "far"]


# From face A; null on disk is the first, or one.
Layer = Annotated[int, or_else(1)]
Share = Annotated[float, or_else(0.0)]


class Placed(Protocol):
    """Whatever lies on a board: corner, length and width in inches."""

    @property
    def x(self) -> Fraction: ...
    @property
    def y(self) -> Fraction: ...
    @property
    def length(self) -> Fraction: ...
    @property
    def width(self) -> Fraction: ...


@dataclass(frozen=True, slots=True)
class Cut:
    """One saw cut that parts wood. `at` is the side of the kerf nearer the datum: x of a crosscut, y of a rip, depth
    below the flattened A face of a resaw; `start` and `end` ("from", "to" on disk) its extent along the cut."""

    order: int
    stage: Stage
    kind: CutKind
    at: Length
    start: Length
    end: Length
    kerf: Length
    # The blank it is made in; None for rough cuts.
    blank: str | None = None
    # The layer it is made in, from face A; None where all are cut at once.
    layer: int | None = None
    state: Annotated[State, or_else("planned")] = "planned"


@dataclass(frozen=True, slots=True)
class Blank:
    """What goes over the machines in one piece."""

    blank: str
    x: Length
    y: Length
    length: Length
    width: Length
    layers: int
    # Milled thickness of each layer, from face A.
    thicknesses: tuple[Length, ...]
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """A part (or a stave of one) at its rough size inside a blank."""

    piece: str
    part: str
    blank: str
    x: Length
    y: Length
    length: Length
    width: Length
    layer: int
    layers: int
    thickness: Length
    # One name per book pair, else the matching group's; for staves the glued-up piece.
    set: str | None = None
    stave: int | None = None
    show: Show | None = None
    hinge: Hinge | None = None
    state: Annotated[State, or_else("planned")] = "planned"


@dataclass(frozen=True, slots=True)
class Offcut:
    """A rectangle left over; `kept` ones earn credit."""

    offcut: str
    x: Length
    y: Length
    length: Length
    width: Length
    layer: Layer = 1
    layers: Layer = 1
    kept: bool = True


@dataclass(frozen=True, slots=True)
class Spoiled:
    """A piece that was cut and lost; its wood is spent."""

    piece: str
    x: Length
    y: Length
    length: Length
    width: Length
    layer: Layer = 1
    layers: Layer = 1
    # The blank it was cut from, where that is still in the plan.
    blank: str | None = None


@dataclass(frozen=True, slots=True)
class StressStrip:
    """A strip right across the board that is cut off first, to test the board's stress before it is resawn."""

    x: Length
    # Along the board.
    length: Length

    def cuts(self, cuts: Iterable[Cut]) -> tuple[Cut, ...]:
        """Those of the board's cuts that part it from the rest: one on either side, where the plan has both."""
        rough = [c for c in cuts if c.stage == "rough" and c.kind == "crosscut"]
        return tuple(c for c in rough if abs(c.at - self.x - self.length) <= HAIR or abs(c.at + c.kerf - self.x) <= HAIR)


@dataclass(frozen=True, slots=True)
class BoardPlan:
    """One board that the plan cuts. Money in the job's currency, exact."""

    board: str
    cost: Money
    credit: Credit = Fraction(0)
    cuts: tuple[Cut, ...] = ()
    blanks: tuple[Blank, ...] = ()
    pieces: tuple[Piece, ...] = ()
    offcuts: tuple[Annotated[Offcut, needs("kept")], ...] = ()
    spoiled: tuple[Spoiled, ...] = ()
    # Of a board that is resawn without having been tested: the wood for the test, or why there is none.
    stress_strip: Annotated[StressStrip | None, IF_ANY] = None
    no_stress_strip: Annotated[str | None, IF_ANY] = None


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Finished parts that found no place, with the reason in words."""

    part: str
    qty: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class Totals:
    """Figures of the whole plan; floats, for reports. None where a figure has no meaning."""

    net_cost: float
    bound: float | None = None
    gap: float | None = None
    yield_: Share = 0.0
    boards_cut: int = 0
    seconds: Share = 0.0


class Section:
    """One of the keys that rooms add to `plan.json` beside the plan itself; `value` is what stands under it.

    The kinds are in `records/sections.py`, each a frozen record.
    """

    KEY: ClassVar[str]

    __slots__ = ()
    __pydantic_config__ = FORM

    @property
    def key(self) -> str:
        return self.KEY


S = TypeVar("S", bound=Section)


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole plan of a job."""

    job: str
    units: Units
    boards: tuple[Annotated[BoardPlan, needs("blanks", "pieces")], ...]
    unplaced: tuple[Unplaced, ...]
    totals: Totals
    revision: int = 1
    # What else stands in the file, in its order: one of each kind, and keys that this version does not know.
    sections: Annotated[tuple[Section, ...], Field(exclude=True)] = ()

    __pydantic_config__ = FORM

    @property
    def complete(self) -> bool:
        return not self.unplaced

    def pieces(self) -> Iterable[tuple[BoardPlan, Piece]]:
        """Every piece with the board it comes from."""
        for board in self.boards:
            for piece in board.pieces:
                yield board, piece

    def section(self, kind: type[S]) -> S | None:
        """What the plan says of this kind; None: nothing."""
        return next((s for s in self.sections if isinstance(s, kind)), None)

    def saying(self, *new: Section) -> Plan:
        """The plan with these sections, each in the place of the one under its key, else after all others."""
        said = {s.key: s for s in self.sections} | {s.key: s for s in new}
        return replace(self, sections=tuple(said.values()))

    def silent_on(self, *kinds: type[Section]) -> Plan:
        """The plan without these sections."""
        return replace(self, sections=tuple(s for s in self.sections if not isinstance(s, kinds)))
