"""The shop's settings, as `job.toml` gives them: frozen values, every length a `Fraction` of an inch."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from yieldopt.wood.work import Room, Work

Flattening = Literal["none", "sled", "hand"]

# Nominal thickness from which a board counts as thick stock: 8/4.
THICK_STOCK = Fraction(2)

# Most that a stave may be milled thicker than its part: the file format's own limit.
THICKER_STAVE = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class Allowances:
    """What milling takes (see `docs/` for the source of each default)."""

    face: Fraction = Fraction(3, 32)
    sawn_face: Fraction = Fraction(1, 16)
    resaw_spare: Fraction = Fraction(1, 8)
    edge: Fraction = Fraction(1, 8)
    end: Fraction = Fraction(1, 2)
    run_end: Fraction = Fraction(1, 16)
    board_end: Fraction = Fraction(2)
    defect_along: Fraction = Fraction(1, 2)
    defect_across: Fraction = Fraction(1, 4)
    # As `resaw_spare`, where the board's stress is tested: wood still moves with its moisture.
    tested_spare: Fraction = Fraction(0)
    # Kept clear beyond the rectangle logged: at the ends of a split and of a check, and at the sides of pith.
    split_along: Fraction = Fraction(0)
    check_along: Fraction = Fraction(0)
    pith_across: Fraction = Fraction(0)
    # Instead of `board_end` for boards of THICK_STOCK and more; None: no other.
    board_end_thick: Fraction | None = None
    # Left on the staves of a glued-up piece for flattening it: at most, wherever the boards have it; and what planning demands.
    glue_up: Fraction = Fraction(1, 16)
    glue_up_least: Fraction = Fraction(0)
    # Along the grain, of the strip for a stress test (0: none is kept), and how far it lies from either end at least.
    stress_strip: Fraction = Fraction(1)
    stress_strip_from_end: Fraction = Fraction(12)


@dataclass(frozen=True, slots=True)
class Kerf:
    """Width of the cut each kind of saw leaves."""

    rip: Fraction = Fraction(1, 8)
    crosscut: Fraction = Fraction(1, 8)
    resaw: Fraction = Fraction(1, 16)


@dataclass(frozen=True, slots=True)
class Machines:
    """Limits of the blank that goes over the machine, not of the part."""

    planer_width: Fraction = Fraction(13)
    joint_width: Fraction = Fraction(8)
    wide_flattening: Flattening = "sled"
    resaw_height: Fraction = Fraction(10)
    min_mill_length: Fraction = Fraction(14)
    min_rip_width: Fraction = Fraction(1)
    min_thickness: Fraction = Fraction(1, 4)
    # Thinner layers go through the planer on a carrier board only.
    bare_thickness: Fraction = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Values:
    """When an offcut is kept and what share of its board's price it is then worth."""

    offcut_min_length: Fraction = Fraction(16)
    offcut_min_width: Fraction = Fraction(2)
    offcut_credit: Fraction = Fraction(3, 5)


@dataclass(frozen=True, slots=True)
class Marks:
    """Where rough cuts are marked; `tape.py` says what None stands for."""

    # Rough cuts lie on multiples of this from the datum end or near edge wherever the wood allows; 0: anywhere.
    mark: Fraction | None = None
    # Waste narrower than this is not sawn off a blank: the blank takes it.
    least_strip: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Shop:
    """The settings of one job's `job.toml`."""

    allowances: Allowances = Allowances()
    kerf: Kerf = Kerf()
    machines: Machines = Machines()
    values: Values = Values()
    work: Work = field(default_factory=Work)
    room: Room = field(default_factory=Room)
    marks: Marks = Marks()


DEFAULT_SHOP = Shop()
