"""The keys of `plan.json` beside the plan itself, a frozen record each; which room writes one stands in the reference.

Lengths are `Fraction` inches in the board's frame; money and shares that are figures of a report are plain numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, NamedTuple

from yieldopt.ground.jsonform import IF_ANY, Length, Number
from yieldopt.wood.plan import CutKind, Section, Stage


@dataclass(frozen=True, slots=True)
class Foreign(Section):
    """A key that this version does not know, kept as it was."""

    name: str
    value: Any

    @property
    def key(self) -> str:
        return self.name


class Moment(NamedTuple):
    """The search at one time: seconds from its start, best net cost, bound."""

    seconds: Number
    cost: Number | None
    bound: Number | None = None


@dataclass(frozen=True, slots=True)
class History(Section):
    """The course of the search."""

    KEY: ClassVar[str] = "history"
    value: tuple[Moment, ...]


@dataclass(frozen=True, slots=True)
class Reasons(Section):
    """Why each board that is not cut is left, by board."""

    KEY: ClassVar[str] = "reasons"
    value: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Tight:
    """A piece, and how much of its blank may be lost before the part is."""

    piece: str
    board: str
    thickness: Length
    width: Length
    length: Length


@dataclass(frozen=True, slots=True)
class Tightest(Section):
    """The pieces with least to spare."""

    KEY: ClassVar[str] = "tightest"
    value: tuple[Tight, ...]


@dataclass(frozen=True, slots=True)
class Size:
    """A clear board."""

    length: Length
    width: Length


@dataclass(frozen=True, slots=True)
class BoardWanted:
    """A board that would place missing parts, or some of them where one can't place all."""

    species: str
    quarters: str
    # Once warp is off.
    thickness: Length
    sawn: str
    parts: Mapping[str, int]
    # The least boards that do; none where one board can't.
    sizes: tuple[Size, ...]
    # The least board for the largest part.
    least: Size
    # Of parts in the rough.
    square_feet: Number
    # The parts list names the boards that it may come from.
    named: bool = False
    # False: the time was up before a size was tried.
    settled: bool = True


@dataclass(frozen=True, slots=True)
class OneMore(Section):
    """What one more board should be like, by species, thickness and sawing."""

    KEY: ClassVar[str] = "one_more"
    value: tuple[BoardWanted, ...]


@dataclass(frozen=True, slots=True)
class NotReached(Section):
    """What the time did not reach, in words."""

    KEY: ClassVar[str] = "not_reached"
    value: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OtherPlace:
    """Where else a show piece could come from. What another program leaves out is as it is where the piece lies."""

    piece: str
    board: str
    x: Length
    y: Length
    length: Annotated[Length | None, IF_ANY] = None
    width: Annotated[Length | None, IF_ANY] = None
    wood: Annotated[str | None, IF_ANY] = None
    together: tuple[str, ...] = ()
    cost: Number | None = None


@dataclass(frozen=True, slots=True)
class SecondChoices(Section):
    """Other places for show pieces."""

    KEY: ClassVar[str] = "second_choices"
    value: tuple[OtherPlace, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One plan of a job's history."""

    revision: int
    # Time in UTC as ISO 8601, to the second; empty where it was not written down.
    when: str = ""
    who: str = ""
    # What had happened, in words.
    told: tuple[str, ...] = ()
    net_cost: Number | None = None
    unplaced: int = 0


@dataclass(frozen=True, slots=True)
class Revisions(Section):
    """Every plan of the job, oldest first."""

    KEY: ClassVar[str] = "revisions"
    value: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Patch:
    """A rectangle of wood; `thickness` where it was measured again, at its thinnest."""

    board: str
    x: Length
    y: Length
    length: Length
    width: Length
    thickness: Annotated[Length | None, IF_ANY] = None


@dataclass(frozen=True, slots=True)
class Thin(Section):
    """Wood that was measured thinner than its board."""

    KEY: ClassVar[str] = "thin"
    value: tuple[Patch, ...]


@dataclass(frozen=True, slots=True)
class Good(Section):
    """What of spoiled pieces is good and not used yet."""

    KEY: ClassVar[str] = "good"
    value: tuple[Patch, ...]


@dataclass(frozen=True, slots=True)
class NamesGone:
    """Names of one board's blanks and offcuts and numbers of its cuts that are used for nothing any more."""

    board: str
    blanks: tuple[str, ...] = ()
    cuts: tuple[int, ...] = ()
    offcuts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GivenUp(Section):
    """Names that an earlier plan of the job had and a later one has not."""

    KEY: ClassVar[str] = "given_up"
    value: tuple[NamesGone, ...]


@dataclass(frozen=True, slots=True)
class SawnCut:
    """A cut that is made and no longer in the plan; see `plan.Cut`."""

    board: str
    blank: str | None
    order: int
    stage: Stage
    kind: CutKind
    at: Length
    start: Length
    end: Length
    layer: int | None = None


@dataclass(frozen=True, slots=True)
class Sawn(Section):
    """Cuts made inside resawn blanks that are spent."""

    KEY: ClassVar[str] = "sawn"
    value: tuple[SawnCut, ...]


@dataclass(frozen=True, slots=True)
class Spares(Section):
    """How many pieces of each part are spares, counted in its `qty`."""

    KEY: ClassVar[str] = "spares"
    value: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class BoardsInReserve:
    """Boards of one line to buy, and what for."""

    species: str
    quarters: str
    grade: str
    parts: tuple[str, ...]
    count: int


@dataclass(frozen=True, slots=True)
class Reserve:
    """What to buy where the stock is too little, and the chance with it."""

    boards: tuple[BoardsInReserve, ...]
    board_feet: Number
    cost: Number
    chance: Number
    error: Number


@dataclass(frozen=True, slots=True)
class Standing:
    """How a plan stands surprises: its chance of finishing on fresh draws, with its standard error."""

    chance: Number
    error: Number
    draws: int
    # The boards in the order to cut them.
    order: tuple[str, ...]
    reserve: Annotated[Reserve | None, IF_ANY] = None


@dataclass(frozen=True, slots=True)
class Robust(Section):
    """What was found of a robust plan."""

    KEY: ClassVar[str] = "robust"
    value: Standing


@dataclass(frozen=True, slots=True)
class Holds(Section):
    """Boards of a rack that are held for the job."""

    KEY: ClassVar[str] = "holds"
    value: tuple[str, ...]
