"""What the shop has and wants: boards with their defects, finished parts, the shop's settings, the job.

Frozen values with no behaviour beyond their own arithmetic. Every length is a `Fraction` of an inch. Positions on a
board: looking down on face A with the datum end at the left, `x` runs along the length from the datum end as the board
lies in the rack, `y` across the width from the near edge (or from a snapped line, so `near` may be negative). Face B is
described in the same `x`, `y`, seen through the board.
"""

from __future__ import annotations

import copyreg
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from types import MappingProxyType
from typing import Literal

from yieldopt.ground.lengths import Units
from yieldopt.wood.shop import DEFAULT_SHOP
from yieldopt.wood.shop import THICK_STOCK as THICK_STOCK
from yieldopt.wood.shop import THICKER_STAVE as THICKER_STAVE
from yieldopt.wood.shop import Allowances as Allowances
from yieldopt.wood.shop import Flattening as Flattening
from yieldopt.wood.shop import Kerf as Kerf
from yieldopt.wood.shop import Machines as Machines
from yieldopt.wood.shop import Marks as Marks
from yieldopt.wood.shop import Shop as Shop
from yieldopt.wood.shop import Values as Values

Face = Literal["A", "B", "both"]
Sawn = Literal["flat", "rift", "quarter", ""]
Stress = Literal["tested", "unknown", "no resaw"]
# Which face (edge) is the hollow one; "" is unknown, or flat.
HollowFace = Literal["A", "B", ""]
HollowEdge = Literal["near", "far", ""]
MatchKind = Literal["book", "slip", "run", "board"]
Grain = Literal["length", "any"]

SOUND_KINDS = frozenset({"knot", "sapwood", "streak", "stain"})
UNSOUND_KINDS = frozenset({"loose knot", "check", "split", "wane", "pith", "worm", "bark", "other"})
DEFECT_KINDS = SOUND_KINDS | UNSOUND_KINDS
# Kinds that the machines can throw: the rectangle logged may not lie in any blank.
THROWN_KINDS = frozenset({"loose knot", "split"})
# Kinds that go through the board whatever face they were logged on.
THROUGH_KINDS = frozenset({"pith", "split", "wane"})
# Kinds round which the grain swirls: kept clear by `defect_along` and `defect_across` beyond the rectangle.
SWIRL_KINDS = frozenset({"knot", "loose knot"})

# A board foot is 144 cubic inches of nominal thickness (hardwood grading rules, measurement of lumber).
CUBIC_INCHES_PER_BOARD_FOOT = 144
CUBIC_INCHES_PER_CUBIC_METRE = Fraction(1000, 1) ** 3 / Fraction(254, 10) ** 3
BOARD_FEET_PER_CUBIC_METRE = CUBIC_INCHES_PER_CUBIC_METRE / CUBIC_INCHES_PER_BOARD_FOOT

NO_NOTES: Mapping[str, str] = MappingProxyType({})


def _read_only(items: dict[str, object]) -> MappingProxyType[str, object]:
    return MappingProxyType(items)


# Boards and jobs go to other processes, and the standard library does not say how to pickle a read-only view.
copyreg.pickle(MappingProxyType, lambda view: (_read_only, (dict(view),)))


@dataclass(frozen=True, slots=True)
class Defect:
    """The smallest rectangle round a defect, as logged."""

    # One of DEFECT_KINDS.
    kind: str
    # The face it was logged on; kinds in THROUGH_KINDS count as both whatever it says: see `seen_on`.
    face: Face
    # Corner nearest the datum end and the near edge.
    x: Fraction
    y: Fraction
    # Extent along and across the board, both above zero.
    length: Fraction
    width: Fraction
    notes: Mapping[str, str] = field(default_factory=lambda: NO_NOTES, compare=False)

    @property
    def seen_on(self) -> Face:
        """The face it counts for."""
        return "both" if self.kind in THROUGH_KINDS else self.face


@dataclass(frozen=True, slots=True)
class EdgePoint:
    """Where the near and far edge lie at distance `x`; straight between points, level beyond the outer ones."""

    x: Fraction
    near: Fraction
    far: Fraction
    notes: Mapping[str, str] = field(default_factory=lambda: NO_NOTES, compare=False)


@dataclass(frozen=True)
class Board:
    """One measured rough board."""

    # Name chalked on it, unique in the rack.
    name: str
    species: str
    # As typed: "4/4", "8/4" or a nominal thickness such as "52mm".
    quarters: str
    # Nominal rough thickness that `quarters` stands for.
    nominal: Fraction
    # Measured rough length.
    length: Fraction
    # Measured rough width; only noted where `edges` has points: see `outline` and `greatest_width`.
    width: Fraction
    # Measured at its thinnest; the nominal rough thickness where it was not measured.
    thickness: Fraction
    # How it was sawn; "" is unknown, which satisfies only parts that take any.
    sawn: Sawn = ""
    stress: Stress = "unknown"
    # Whole deviations measured over the whole board; crook counts only where there is no outline.
    bow: Fraction = Fraction(0)
    cup: Fraction = Fraction(0)
    crook: Fraction = Fraction(0)
    twist: Fraction = Fraction(0)
    # Which way they lie: the face that is hollow along (bow) and across (cup), the edge that is hollow (crook).
    bow_hollow: HollowFace = ""
    cup_hollow: HollowFace = ""
    crook_hollow: HollowEdge = ""
    # Price: the board's own, or per board foot, or per cubic metre; `cost` wins; all None: no price known, costs 0.
    cost: Fraction | None = None
    price_bf: Fraction | None = None
    price_m3: Fraction | None = None
    # Ends that need no trimming.
    datum_sound: bool = False
    far_sound: bool = False
    defects: tuple[Defect, ...] = ()
    # Outline, ordered by x; empty: a rectangle of `length` by `width`.
    edges: tuple[EdgePoint, ...] = ()
    # Columns the package does not know, kept as they were.
    notes: Mapping[str, str] = field(default_factory=lambda: NO_NOTES, compare=False)

    @cached_property
    def outline(self) -> tuple[EdgePoint, ...]:
        """The edges from end to end: first point at x = 0, last at x = length."""
        if not self.edges:
            return (EdgePoint(Fraction(0), Fraction(0), self.width), EdgePoint(self.length, Fraction(0), self.width))
        first, last = self.edges[0], self.edges[-1]
        points = list(self.edges)
        if first.x > 0:
            points.insert(0, EdgePoint(Fraction(0), first.near, first.far))
        if last.x < self.length:
            points.append(EdgePoint(self.length, last.near, last.far))
        return tuple(points)

    @cached_property
    def greatest_width(self) -> Fraction:
        """The widest measured place, over which cup and twist were measured."""
        return max(p.far - p.near for p in self.outline)

    @cached_property
    def area(self) -> Fraction:
        """Area of the outline in square inches, exact (trapezoids between measured points)."""
        return sum(
            (
                (b.x - a.x) * ((a.far - a.near) + (b.far - b.near)) / 2
                for a, b in zip(self.outline, self.outline[1:], strict=False)
            ),
            Fraction(0),
        )

    @cached_property
    def board_feet(self) -> Fraction:
        """Exact board feet at the nominal thickness."""
        return self.area * self.nominal / CUBIC_INCHES_PER_BOARD_FOOT

    @cached_property
    def price(self) -> Fraction:
        """What the board costs in the job's money: its own cost, else volume times price, else 0."""
        if self.cost is not None:
            return self.cost
        if self.price_bf is not None:
            return self.board_feet * self.price_bf
        if self.price_m3 is not None:
            return self.area * self.nominal / CUBIC_INCHES_PER_CUBIC_METRE * self.price_m3
        return Fraction(0)

    def channel(self, x0: Fraction, x1: Fraction) -> tuple[Fraction, Fraction]:
        """Highest near edge and lowest far edge over `x0` to `x1`: what a rectangle there may span."""
        if not self.edges:
            # Most boards; asked for tens of thousands of times in a plan.
            return Fraction(0), self.width
        near0, far0 = self._edges_at(x0)
        near1, far1 = self._edges_at(x1)
        inner = [p for p in self.outline if x0 < p.x < x1]
        return max([near0, near1, *(p.near for p in inner)]), min([far0, far1, *(p.far for p in inner)])

    def _edges_at(self, x: Fraction) -> tuple[Fraction, Fraction]:
        points = self.outline
        if x <= points[0].x:
            return points[0].near, points[0].far
        for a, b in pairwise(points):
            if x <= b.x:
                share = (x - a.x) / (b.x - a.x) if b.x > a.x else Fraction(0)
                return a.near + share * (b.near - a.near), a.far + share * (b.far - a.far)
        return points[-1].near, points[-1].far


@dataclass(frozen=True, slots=True)
class Part:
    """A finished part and how many of it; sizes include the joinery, `length` is along the grain."""

    name: str
    qty: int
    species: str
    thickness: Fraction
    width: Fraction
    length: Fraction
    # How many wide faces must be clear; 0: sound defects may show on either.
    faces: Literal[0, 1, 2] = 2
    # Defect kinds it may contain on any face.
    allow: frozenset[str] = frozenset()
    sawn: Literal["any", "flat", "rift", "quarter"] = "any"
    # "any": may lie across the board.
    grain: Grain = "length"
    # Name and kind of its matching group.
    match: str | None = None
    match_kind: MatchKind | None = None
    # Narrowest and widest net stave if it may be edge-glued; None: one piece.
    staves: tuple[Fraction, Fraction] | None = None
    # Boards it may come from; empty: any.
    sources: tuple[str, ...] = ()
    notes: Mapping[str, str] = field(default_factory=lambda: NO_NOTES, compare=False)


@dataclass(frozen=True, slots=True)
class Pin:
    """The maker's own choice: `piece` lies with its rough corner at (x, y) on `board`, or nowhere."""

    piece: str
    board: str
    x: Fraction
    y: Fraction
    # Layer counted from face A; None: any.
    layer: int | None = None
    notes: Mapping[str, str] = field(default_factory=lambda: NO_NOTES, compare=False)


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of a dealer's price sheet; empty limits are None."""

    dealer: str
    species: str
    quarters: str
    nominal: Fraction
    grade: str
    price_bf: Fraction
    min_length: Fraction | None = None
    max_length: Fraction | None = None
    min_width: Fraction | None = None
    max_width: Fraction | None = None
    # Boards wider (longer) than this cost the given share more.
    wide_over: Fraction | None = None
    wide_surcharge: Fraction = Fraction(0)
    long_over: Fraction | None = None
    long_surcharge: Fraction = Fraction(0)
    tally: Literal["exact", "rounded"] = "exact"
    surfacing_bf: Fraction = Fraction(0)
    # Least board feet of this line that the dealer sells; 0: by the board.
    bundle_bf: Fraction = Fraction(0)
    notes: Mapping[str, str] = field(default_factory=lambda: NO_NOTES, compare=False)
    # Sold by the cubic metre: by exact volume, stock under an inch as thick as it is. Prices are kept by the board foot.
    by_volume: bool = False


@dataclass(frozen=True)
class Job:
    """Everything one plan is made from."""

    name: str
    units: Units
    parts: tuple[Part, ...]
    boards: tuple[Board, ...]
    shop: Shop = DEFAULT_SHOP
    pins: tuple[Pin, ...] = ()
    # Boards that this job must not touch.
    leave: frozenset[str] = frozenset()
    prices: tuple[PriceLine, ...] = ()
    # What the reader took for granted or found odd, in words; it stops nothing.
    remarks: tuple[str, ...] = field(default=(), compare=False)

    @cached_property
    def board_named(self) -> Mapping[str, Board]:
        return MappingProxyType({b.name: b for b in self.boards})

    @cached_property
    def part_named(self) -> Mapping[str, Part]:
        return MappingProxyType({p.name: p for p in self.parts})
