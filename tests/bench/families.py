"""Seeded job generators for the benchmarks: shop, rack, yard, mixed. Invented data with the spread of real racks.

Random lengths 7 to 12 ft, widths 4-1/2 to 10-1/2 in, about one defect to a square foot of a common-grade board, parts
15 to 50 in long and 1-1/2 to 4-3/4 in wide in quantities of 2 to 8.
"""

from __future__ import annotations

import random
from fractions import Fraction

from yieldopt.lumber import Board, Defect, EdgePoint, Job, Part

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
    from dataclasses import replace

    parts = [replace(p, qty=max(quantities[0], round(p.qty * pieces / total))) for p in parts]
    return Job(f"plain {boards} seed {seed}", "in", tuple(parts), rack)


def shop(seed: int) -> Job:
    return plain(seed, 12, 12, 50)


def rack(seed: int) -> Job:
    return plain(seed, 60, 40, 180)


def yard(seed: int) -> Job:
    return plain(seed, 400, 120, 540)


def crooked(rng: random.Random, b: Board) -> Board:
    from dataclasses import replace

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
