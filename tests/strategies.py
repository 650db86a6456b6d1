"""Whole jobs for property tests: valid by construction, and as wide as the formats allow.

Sizes lie on a grid of 1/16 in or of 1 mm, so that examples can be read when one fails. Invented data throughout.
"""

from __future__ import annotations

import unicodedata
from fractions import Fraction as F

from hypothesis import strategies as st

from yieldopt.wood.lumber import (
    DEFECT_KINDS,
    Allowances,
    Board,
    Defect,
    EdgePoint,
    Job,
    Kerf,
    Machines,
    Marks,
    Part,
    Pin,
    Shop,
    Values,
)
from yieldopt.wood.work import Room, Work

MM = F(10, 254)
SPECIES = ("oak", "walnut", "hard maple")
NOMINAL = {"4/4": F(1), "5/4": F(5, 4), "6/4": F(3, 2), "8/4": F(2), "12/4": F(3), "52mm": 52 * MM}
_DULL = ("rail", "stile", "top", "panel", "leg", "runner", "R1", "B-2", "long one")
# Names that trip naive readers, paths and drawings: separators, markup, formulas, other scripts, dots and slashes.
_HOSTILE = ('a#1', 'a#1/2', '../up', 'C:\\x', '<b>&', '"q"', "it's", '=1+1', '-2', '@x', 'a,b', '狭い板', 'ŝtipo', 'é',
            '#', '/', '%s', '{x}', 'null')


def lengths(units: str, low: float, high: float) -> st.SearchStrategy[F]:
    """Lengths from `low` to `high` inches on the grid of `units`, in inches; always one at least."""
    step = F(1, 16) if units == "in" else MM
    first = -(-F(low) // step)
    return st.integers(int(first), max(int(first), int(F(high) // step))).map(lambda n: n * step)


def names() -> st.SearchStrategy[str]:
    """Names as people and tests write them: stripped, single-spaced, without the semicolon that parts lists."""
    letters = st.characters(categories=["L", "N", "P", "S", "Zs"], exclude_characters=";", codec="utf-8")

    def tidy(text: str) -> str:
        return " ".join(unicodedata.normalize("NFC", text).split())

    strange = st.text(letters, min_size=1, max_size=10).map(tidy).filter(bool)
    return st.one_of(st.sampled_from(_DULL), st.sampled_from(_HOSTILE), strange)


def unique_names(least: int, most: int) -> st.SearchStrategy[list[str]]:
    return st.lists(names(), min_size=least, max_size=most, unique_by=str.casefold)


@st.composite
def shops(draw: st.DrawFn, units: str = "in") -> Shop:
    """The shop's settings: the defaults, or odd ones within reason."""
    if draw(st.booleans()):
        return Shop()

    def some(low: float, high: float) -> F:
        return draw(lengths(units, low, high))

    def limit(low: float, high: float, odd: tuple[float, float]) -> F:
        """A machine's limit within reason, or now and then one that contradicts another."""
        return some(*(odd if draw(st.integers(0, 4)) == 0 else (low, high)))

    glue_up = some(0, 0.25)
    often_none = st.just(F(0)) | lengths(units, 0, 2)
    fine = st.sampled_from([F(1, 32), F(3, 64), F(1, 16), F(3, 32), F(1, 8), 3 * MM])
    return Shop(
        Allowances(
            draw(fine), draw(fine), draw(fine | st.just(F(0))), some(0, 0.5), some(0, 1), some(0, 0.25), some(0, 3), some(0, 1),
            some(0, 1), draw(st.just(F(0)) | fine), draw(often_none), draw(often_none), draw(often_none),
            draw(st.none() | lengths(units, 0, 4)), glue_up, draw(st.sampled_from([F(0), F(0), glue_up])),
            draw(st.sampled_from([F(0), F(1), F(1), F(2)])), some(0, 20),
        ),
        Kerf(draw(fine), draw(fine), draw(fine)),
        Machines(
            limit(6, 20, (1, 6)), limit(4, 12, (1, 4)), draw(st.sampled_from(["none", "sled", "hand"])), limit(3, 14, (0.5, 3)),
            limit(4, 18, (18, 40)), limit(0.25, 2, (2, 8)), limit(0.125, 0.5, (0.5, 1)), some(0, 0.75),
        ),
        Values(some(4, 30), some(1, 4), draw(st.sampled_from([F(0), F(1, 2), F(3, 5), F(1)]))),
        Work(some(0, 0.5), F(draw(st.integers(0, 30))), F(draw(st.integers(0, 60)), 2), F(24), some(2, 12)),
        Room(draw(st.sampled_from([None, (F(35), F(121, 2)), (F(50), F(50))]))),
        Marks(draw(st.sampled_from([None, F(0), F(1, 16), F(1, 4), 5 * MM])), draw(st.none() | lengths(units, 0, 1))),
    )


@st.composite
def defects(draw: st.DrawFn, units: str, length: F, low: F, high: F) -> Defect:
    """A defect that lies on a board of this length between edges at `low` and `high`."""
    x = draw(lengths(units, 0, float(length) - 1))
    y = draw(lengths(units, float(low), float(high) - 0.5))
    across = draw(lengths(units, 0.125, 1.5))
    along = draw(lengths(units, 0.125, 6))
    kind, face = draw(st.sampled_from(sorted(DEFECT_KINDS))), draw(st.sampled_from(["A", "B", "both"]))
    return Defect(kind, face, x, y, min(along, length - x), min(across, high - y))


@st.composite
def outlines(draw: st.DrawFn, units: str, length: F, width: F) -> tuple[EdgePoint, ...]:
    """Edges that taper or wander about a rectangle, never crossing; all of `width` at most."""
    xs = sorted(draw(st.lists(lengths(units, 0, float(length)), min_size=1, max_size=5, unique=True)))
    wander = float(width) / 5
    near, taper = lengths(units, -wander / 2, wander), lengths(units, 0, wander)
    return tuple(EdgePoint(x, draw(near), width - draw(taper)) for x in xs if x <= length)


@st.composite
def boards(draw: st.DrawFn, name: str, units: str, species: str | None = None) -> Board:
    """One measured board."""
    quarters = draw(st.sampled_from(list(NOMINAL)))
    nominal = NOMINAL[quarters]
    length, width = draw(lengths(units, 30, 150)), draw(lengths(units, 3, 14))
    thickness = draw(st.just(nominal) | lengths(units, float(nominal) - 0.125, float(nominal) + 0.2))
    little = st.just(F(0)) | lengths(units, 0, 0.5)
    edges = draw(st.just(()) | outlines(units, length, width))
    low = max([F(0), *(e.near for e in edges)])
    high = min([width, *(e.far for e in edges)])
    price = draw(st.sampled_from([{}, {"cost": F(0)}, {"cost": F(31)}, {"price_bf": F(13, 2)}, {"price_m3": F(5200)}]))
    found = draw(st.lists(defects(units, length, low, high), max_size=4))
    return Board(
        name, species or draw(st.sampled_from(SPECIES)), quarters, nominal, length, width, thickness,
        draw(st.sampled_from(["", "flat", "rift", "quarter"])), draw(st.sampled_from(["tested", "unknown", "no resaw"])),
        draw(little), draw(little.map(lambda v: v / 4)), draw(little), draw(little), **price,
        datum_sound=draw(st.booleans()), far_sound=draw(st.booleans()), defects=tuple(found), edges=edges,
        bow_hollow=draw(_FACE), cup_hollow=draw(_FACE), crook_hollow=draw(st.sampled_from(["", "", "near", "far"])),
    )


_FACE = st.sampled_from(["", "", "A", "B"])
_THICKNESSES = [F(1, 4), F(3, 8), F(1, 2), F(5, 8), F(3, 4), F(7, 8), F(1), F(7, 4), 19 * MM]


@st.composite
def part_rows(draw: st.DrawFn, names: list[str], group: str, units: str, shop: Shop, board_names: list[str],
              pool: list[str]) -> list[Part]:
    """Rows that belong together: one free row, or a whole matching group with as many rows as it takes names."""
    species, thickness = draw(st.sampled_from(pool)), draw(st.sampled_from(_THICKNESSES))
    length, width = draw(lengths(units, 3, 40)), draw(lengths(units, 1, 7))
    chosen = st.lists(st.sampled_from(board_names), max_size=2, unique=True)
    common = {
        "faces": draw(st.sampled_from([0, 1, 2, 2])),
        "allow": frozenset(draw(st.lists(st.sampled_from(sorted(DEFECT_KINDS)), max_size=2))),
        "sawn": draw(st.sampled_from(["any", "any", "any", "any", "flat", "quarter"])),
        "sources": tuple(draw(chosen)) if draw(st.integers(0, 4)) == 0 else (),
    }
    kind = draw(st.sampled_from([None, None, "book", "slip", "run", "board"]))
    matched = {"match": group, "match_kind": kind} if kind else {}
    if kind == "book":
        first = draw(st.integers(1, 3))
        # Both rows of a pair's size together make an even number.
        counts = [first, draw(st.sampled_from([first, first + 2]))] if len(names) > 1 else [2 * first]
        names = names[: len(counts)]
    elif kind is None:
        counts, names = [draw(st.integers(1, 6))], names[:1]
    else:
        counts = [draw(st.integers(1, 3)) for _ in names]
    rows = []
    for name, qty in zip(names, counts, strict=True):
        if kind in ("run", "board"):
            length = draw(lengths(units, 3, 20))
        grain = draw(st.sampled_from(["length", "length", "any"])) if kind in (None, "board") else "length"
        staves = None
        if kind in (None, "board") and draw(st.integers(0, 3)) == 0:
            net = (width + 2 * shop.allowances.edge) / draw(st.integers(1, 3))
            staves = (net * F(3, 4), net * F(5, 4))
            grain = "length"
        rows.append(Part(name, qty, species, thickness, width, length, grain=grain, staves=staves, **matched, **common))
    return rows


@st.composite
def jobs(draw: st.DrawFn, pins: bool = True, most_boards: int = 6, most_rows: int = 6) -> Job:
    """A whole job; about one in four has pins, boards to leave, or both."""
    units = draw(st.sampled_from(["in", "in", "mm"]))
    shop = draw(shops(units))
    board_names = draw(unique_names(1, most_boards))
    # Few species, so that most boards are of use to most parts.
    pool = draw(st.lists(st.sampled_from(SPECIES), min_size=1, max_size=2, unique=True))
    found = tuple(draw(boards(name, units, draw(st.sampled_from(pool)))) for name in board_names)
    row_names = draw(unique_names(1, most_rows))
    parts: list[Part] = []
    while row_names:
        take = draw(st.integers(1, min(3, len(row_names))))
        rows = draw(part_rows(row_names[:take], f"set {len(parts)}", units, shop, board_names, pool))
        parts += rows
        row_names = row_names[len(rows):]
    leave = frozenset(draw(st.lists(st.sampled_from(board_names), max_size=1))) if draw(st.integers(0, 3)) == 0 else frozenset()
    chosen: tuple[Pin, ...] = ()
    if pins and draw(st.integers(0, 3)) == 0:
        part, board = draw(st.sampled_from(parts)), draw(st.sampled_from(found))
        x, y = draw(lengths(units, 0, float(board.length) / 2)), draw(lengths(units, 0, 2))
        chosen = (Pin(f"{part.name}#{draw(st.integers(1, part.qty))}", board.name, x, y, draw(st.sampled_from([None, 1]))),)
    return Job(draw(names()), units, tuple(parts), found, shop, chosen, leave)
