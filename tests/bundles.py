"""What `layouts` must place for a job: items, in bundles that are placed whole or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction as F
from random import Random

from yieldopt.wood.lumber import Job, Part


@dataclass
class Laid:
    """A piece within an item: offsets from the item's corner."""

    name: str
    part: Part
    dx: F
    dy: F
    length: F
    width: F
    layer: int
    set: str | None = None
    stave: int | None = None
    hinge: str | None = None
    show: str | None = None


@dataclass
class Item:
    """What must be placed in one go: a piece, ganged rows of it, a resawn pair, a run."""

    length: F
    width: F
    thicknesses: tuple[F, ...]
    laid: list[Laid]
    rows: int = 1


def _single(job: Job, part: Part, k: int, rng: Random) -> Item:
    a = job.shop.allowances
    length, width = part.length + 2 * a.end, part.width + 2 * a.edge
    if part.grain == "any" and rng.random() < 0.5:
        length, width = part.width + 2 * a.end, part.length + 2 * a.edge
    return Item(length, width, (part.thickness,), [Laid(f"{part.name}#{k}", part, F(0), F(0), length, width, 1, part.match)])


def _staves(job: Job, part: Part, k: int, rng: Random) -> list[Item]:
    a = job.shop.allowances
    assert part.staves is not None
    low, high = part.staves
    panel = part.width + 2 * a.edge
    counts = [n for n in range(1, 9) if n * low <= panel <= n * high]
    if not counts:
        return []
    n = rng.choice(counts)
    items = []
    for j in range(1, n + 1):
        length, width = part.length + 2 * a.end, panel / n + 2 * a.edge
        laid = Laid(f"{part.name}#{k}/{j}", part, F(0), F(0), length, width, 1, f"{part.name}#{k}", j)
        items.append(Item(length, width, (part.thickness + a.glue_up_least,), [laid]))
    return items


def _stack(items: list[Item], name: str | None, book: bool) -> Item:
    """Items of one footprint as the layers of one blank."""
    length, width = max(i.length for i in items), max(i.width for i in items)
    laid = []
    for layer, item in enumerate(items, 1):
        for piece in item.laid:
            piece.layer, piece.set = layer, name or piece.set
            piece.length, piece.width = (length, width) if name else (piece.length, piece.width)
            if book:
                piece.hinge, piece.show = "near", "sawn"
            laid.append(piece)
    return Item(length, width, tuple(i.thicknesses[0] for i in items), laid)


def _run(job: Job, rows: list[Part], rng: Random) -> Item:
    a, kerf = job.shop.allowances, job.shop.kerf.crosscut
    order = [(p, k) for p in rows for k in range(1, p.qty + 1)]
    if rng.random() < 0.5:
        order.reverse()
    width, x, laid = max(p.width for p in rows) + 2 * a.edge, F(0), []
    for i, (part, k) in enumerate(order):
        length = part.length + (a.end if i == 0 else a.run_end) + (a.end if i == len(order) - 1 else a.run_end)
        laid.append(Laid(f"{part.name}#{k}", part, x, F(0), length, width, 1, part.match))
        x += length + kerf
    return Item(x - kerf, width, (rows[0].thickness,), laid)


def _side_by_side(job: Job, items: list[Item]) -> Item:
    """Two equal pieces in one blank, parted by a final rip."""
    first, second = items
    for piece in second.laid:
        piece.dy += first.width + job.shop.kerf.rip
    return Item(first.length, 2 * first.width + job.shop.kerf.rip, first.thicknesses, first.laid + second.laid, rows=2)


def items_of(job: Job, rng: Random) -> list[list[Item]]:
    """What to place, in bundles that are placed whole or not at all."""
    pinned = {p.piece.partition("/")[0] if "/" in p.piece.rpartition("#")[2] else p.piece for p in job.pins}
    bundles: list[list[Item]] = []
    groups: dict[str, list[Part]] = {}
    for part in job.parts:
        if part.match is not None:
            groups.setdefault(part.match, []).append(part)
            continue
        free = [k for k in range(1, part.qty + 1) if f"{part.name}#{k}" not in pinned]
        if part.staves and rng.random() < 0.8:
            bundles += [b for k in free if (b := _staves(job, part, k, rng))]
            continue
        singles = [_single(job, part, k, rng) for k in free]
        while singles:
            take = singles[:2]
            way = rng.random() if len(take) == 2 and take[0].length == take[1].length else 1
            if way < 0.3:
                bundles.append([_stack(take, None, book=False)])
            elif way < 0.5:
                bundles.append([_side_by_side(job, take)])
            else:
                take = singles[:1]
                bundles.append(take)
            singles = singles[len(take):]
    for name, rows in groups.items():
        members = [(p, k) for p in rows for k in range(1, p.qty + 1)]
        if any(f"{p.name}#{k}" in pinned for p, k in members):
            continue
        kind = rows[0].match_kind
        if kind == "run":
            bundles.append([_run(job, rows, rng)])
        elif kind == "slip":
            bundles.append([_stack([_single(job, p, k, rng) for p, k in members], name, book=False)])
        elif kind == "book":
            pairs = (members[i : i + 2] for i in range(0, len(members), 2))
            two = [[_single(job, p, k, rng) for p, k in pair] for pair in pairs]
            bundles.append([_stack(pair, f"{name} {i}", book=True) for i, pair in enumerate(two)])
        else:
            bundle = [i for p, k in members for i in (_staves(job, p, k, rng) if p.staves else [_single(job, p, k, rng)])]
            bundles.append(bundle)
    return bundles
