"""Seeded job generators for the benchmarks: shop, rack, yard, mixed. Invented data with the spread of real racks.

Random lengths 7 to 12 ft, widths 4-1/2 to 10-1/2 in, about one defect to a square foot of a common-grade board, parts
15 to 50 in long and 1-1/2 to 4-3/4 in wide in quantities of 2 to 8.
"""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

from yieldopt.wood.lumber import Board, Defect, EdgePoint, Job, Part, Pin

KINDS = ("knot", "knot", "knot", "loose knot", "check", "split", "wane", "bark", "worm", "streak")


def eighths(rng: random.Random, low: float, high: float, step: int = 8) -> Fraction:
    return Fraction(rng.randint(round(low * step), round(high * step)), step)


def board(
    rng: random.Random, name: str, species: str = "cherry", quarters: int = 4, per_foot: float = 1.0, price: float = 8.0
) -> Board:
    length, width = eighths(rng, 84, 144, 1), eighths(rng, 4.5, 10.5, 4)
    count = sum(rng.random() < per_foot / 2 for _ in range(2 * round(float(length * width) / 144)))
    defects = []
    for _ in range(count):
        kind = rng.choice(KINDS)
        long, across = (
            (eighths(rng, 0.5, 2, 4), eighths(rng, 0.5, 1.5, 4))
            if "knot" in kind
            else (eighths(rng, 1, 8, 4), eighths(rng, 0.25, 0.75, 4))
        )
        x, y = eighths(rng, 0, float(length - long), 4), eighths(rng, 0, float(width - across), 4)
        if kind == "wane":
            y = Fraction(0) if rng.random() < 0.5 else width - across
        defects.append(Defect(kind, rng.choice(("A", "B", "both")), x, y, long, across))
    nominal = Fraction(quarters, 4)
    return Board(
        name,
        species,
        f"{quarters}/4",
        nominal,
        length,
        width,
        nominal + Fraction(1, 16),
        sawn=rng.choice(("flat", "rift", "quarter")),
        price_bf=Fraction(round(price * rng.uniform(0.9, 1.1), 2)).limit_denominator(100),
        defects=tuple(defects),
    )


def part(rng: random.Random, name: str, species: str = "cherry", thickness: Fraction = Fraction(3, 4)) -> Part:
    return Part(
        name,
        rng.randint(2, 8),
        species,
        thickness,
        eighths(rng, 1.5, 4.75, 8),
        eighths(rng, 15, 50, 8),
        faces=rng.choice((2, 2, 1, 0)),
    )


def plain(seed: int, boards: int, types: int, pieces: int, quantities: tuple[int, int] = (2, 8)) -> Job:
    """One species, one thickness: `boards` boards, `types` part types, about `pieces` pieces."""
    rng = random.Random(seed)
    rack = tuple(board(rng, f"B{k + 1}") for k in range(boards))
    parts = [part(rng, f"P{k + 1}") for k in range(types)]
    total = sum(p.qty for p in parts)
    parts = [replace(p, qty=max(quantities[0], round(p.qty * pieces / total))) for p in parts]
    return Job(f"plain {boards} seed {seed}", "in", tuple(parts), rack)


def shop(seed: int) -> Job:
    return plain(seed, 12, 12, 50)


def rack(seed: int) -> Job:
    return plain(seed, 60, 40, 180)


def yard(seed: int) -> Job:
    return plain(seed, 400, 120, 540)


def crooked(rng: random.Random, b: Board) -> Board:
    if rng.random() < 0.3:
        mid = b.length / 2
        taper = eighths(rng, 0, 1, 8)
        edges = (
            EdgePoint(Fraction(0), Fraction(0), b.width),
            EdgePoint(mid, taper / 4, b.width - taper / 4),
            EdgePoint(b.length, taper / 2, b.width - taper / 2),
        )
        return replace(b, edges=edges)
    return replace(
        b,
        crook=eighths(rng, 0, 0.5, 8),
        bow=eighths(rng, 0, 0.25, 16),
        cup=eighths(rng, 0, 0.0625, 32),
        twist=eighths(rng, 0, 0.125, 16),
    )


def mixed(seed: int) -> Job:
    """26 boards of three species from 4/4 to 8/4, warped or with outlines, and parts with every constraint there is."""
    rng = random.Random(seed)
    boards = []
    for n in range(26):
        species, price = (("cherry", 8.0), ("walnut", 13.0), ("ash", 5.5))[n % 3]
        b = board(rng, f"M{n + 1}", species, (4, 4, 5, 6, 8, 8)[n // 3 % 6], 0.7, price)
        boards.append(crooked(rng, replace(b, stress=rng.choice(("tested", "tested", "unknown", "no resaw")))))

    def some(name: str, qty: int, species: str, thick: str, width: str, length: str, **more: object) -> Part:
        off = eighths(rng, -1, 1, 8)
        return Part(name, qty, species, Fraction(thick), Fraction(width), Fraction(length) + off, **more)  # type: ignore[arg-type]

    parts = [
        some("post", 4, "cherry", "3/2", "7/4", "26"),
        some("rail", 6, "cherry", "3/4", "5/2", "22", faces=1),
        some("stile", 4, "cherry", "3/4", "2", "24", match="frame", match_kind="board"),
        some("cross rail", 4, "cherry", "3/4", "5/2", "16", match="frame", match_kind="board"),
        some("top", 1, "cherry", "3/4", "14", "40", staves=(Fraction(2), Fraction(5))),
        some("door left", 1, "walnut", "1/2", "5", "20", match="doors", match_kind="book"),
        some("slip", 3, "walnut", "1/4", "3", "18", match="slips", match_kind="slip"),
        some("drawer a", 1, "walnut", "3/4", "4", "14", match="fronts", match_kind="run"),
        some("drawer b", 1, "walnut", "3/4", "4", "17", match="fronts", match_kind="run"),
        some("drawer c", 1, "walnut", "3/4", "4", "14", match="fronts", match_kind="run"),
        some("pull", 6, "walnut", "3/4", "5/4", "5", grain="any"),
        some("shelf", 3, "walnut", "3/4", "9/2", "30", faces=1),
        some("side", 6, "ash", "1/2", "7/2", "18", faces=0, allow=frozenset({"worm", "check"})),
        some("runner", 8, "ash", "3/4", "3/2", "20", faces=0),
        some("back slat", 8, "ash", "3/8", "3", "27", faces=1, allow=frozenset({"streak"})),
        some("foot", 4, "ash", "5/4", "5/2", "4", grain="any"),
        some("bearer", 4, "ash", "3/4", "5/2", "36"),
    ]
    # The two leaves of a pair have one size.
    door = parts[5]
    parts.insert(6, replace(door, name="door right"))
    names = {s: [b.name for b in boards if b.species == s] for s in ("cherry", "walnut", "ash")}
    parts[1] = replace(parts[1], sources=tuple(names["cherry"][:6]))
    first = next(b for b in boards if b.species == "ash" and b.quarters == "4/4")
    # A bearer laid by eye where the first clear stretch of that board is; nowhere, if the board is too poor.
    need, wide = parts[-1].length + 1, parts[-1].width + Fraction(1, 4)
    spot = next((x for x in range(2, int(first.length - need) - 2) if _clear(first, Fraction(x), need, wide)), None)
    pins = () if spot is None else (Pin("bearer#1", first.name, Fraction(spot), _near(first)),)
    leave = frozenset({names["walnut"][-1], names["ash"][-1]})
    return Job(f"mixed seed {seed}", "in", tuple(parts), tuple(boards), pins=pins, leave=leave)


def _near(b: Board) -> Fraction:
    """A line that the whole board lies beyond, in whole eighths."""
    return Fraction(-(-max(p.near for p in b.outline) * 8 // 1), 8)


def _clear(b: Board, x: Fraction, length: Fraction, width: Fraction) -> bool:
    """True where no defect, its keep-out counted at its widest, comes near this rectangle along the near edge."""
    y = _near(b)
    return not any(
        d.x - 1 < x + length and x < d.x + d.length + 1 and d.y - 1 < y + width and y < d.y + d.width + 1 for d in b.defects
    )


FAMILIES = {"shop": shop, "rack": rack, "yard": yard, "mixed": mixed}
