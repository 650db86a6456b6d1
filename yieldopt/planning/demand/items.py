"""What can be cut out of a board as one footprint: a part in its blank, a gang, layers, a matched set, a stave.

An item does not know the board yet; `fits.py` says on which boards it can be milled and where.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import chain, product
from math import ceil

from yieldopt.ground.names import part_of, whole_of
from yieldopt.planning.demand.layers import unlike_layers
from yieldopt.planning.demand.rows import Row
from yieldopt.planning.demand.specs import BlankSpec, Item, PieceSpec
from yieldopt.sizes.sizing import (
    blank_width_limit,
    rough_length,
    rough_sizes,
    rough_width,
    run_piece_length,
    stave_thickness,
    stave_width_needed,
    thickness_need,
)
from yieldopt.wood.lumber import Job, Part, Pin, Shop

__all__ = ["BlankSpec", "Item", "PieceSpec", "build_items"]

# Parts ganged are alike in width: the narrower has at least this share of the wider's.
GANG_WIDTH = Fraction(13, 20)
# Short parts: most copies in a gang beyond the number that makes it long enough to mill.
GANG_EXTRA = 2
# Step between stave widths that are tried, and how many at most.
STAVE_STEP = Fraction(1, 8)
MOST_STAVE_WIDTHS = 6


def build_items(job: Job, rows: Sequence[Row]) -> tuple[Item, ...]:
    """Every item worth considering for these rows, on the thickest board of each species at best."""
    thickest: dict[str, tuple[Fraction, bool]] = {}
    for b in job.boards:
        if b.name not in job.leave and b.stress != "no resaw":
            most, tested = thickest.get(b.species, (Fraction(0), False))
            thickest[b.species] = (max(most, b.thickness), tested or b.stress == "tested")
    make = _Maker(job, rows, thickest)
    items: dict[Item, None] = {}
    for r, row in enumerate(rows):
        for item in make.of_row(r, row):
            for placed in _at_pins(item, job, rows):
                items.setdefault(placed)
    for item in chain(make.shared(), unlike_layers(job, rows, thickest)):
        for placed in _at_pins(item, job, rows):
            items.setdefault(placed)
    return tuple(item for item in items if all(_machines_take(blank, job.shop) for blank in item.blanks))


def _machines_take(blank: BlankSpec, shop: Shop) -> bool:
    """The machines' limits, in one place whatever the blank was made for: a shop's may contradict each other."""
    m = shop.machines
    return (
        blank.length >= m.min_mill_length
        and m.min_rip_width <= blank.width <= blank_width_limit(shop, len(blank.thicknesses))
        and min(blank.thicknesses) >= m.min_thickness
    )


def _at_pins(item: Item, job: Job, rows: Sequence[Row]) -> Iterator[Item]:
    """The item itself, or where it serves pinned rows, each way to lie so that the pinned pieces are on their pins."""
    pins = [p for r, _ in item.gives if (p := rows[r].pin) is not None]
    if not pins:
        yield item
        return

    def places(pin: Pin) -> list[tuple[str, Fraction, Fraction]]:
        name = part_of(pin.piece)
        return [
            (pin.board, pin.x - q.x, pin.y - q.y)
            for q in item.pieces
            if job.parts[q.part].name == name and (pin.layer is None or q.layer == pin.layer)
        ]

    for at in places(pins[0]):
        if all(at in places(pin) for pin in pins[1:]):
            yield replace(item, at=at)


class _Maker:
    def __init__(self, job: Job, rows: Sequence[Row], thickest: dict[str, tuple[Fraction, bool]]) -> None:
        self.job, self.rows, self.shop, self.thickest = job, rows, job.shop, thickest

    def of_row(self, r: int, row: Row) -> Iterator[Item]:
        if row.kind == "piece":
            yield from self._singles(r, row)
        elif row.kind == "pair":
            yield from self._pairs(r, row)
        elif row.kind == "slip":
            yield from self._slip(r, row)
        elif row.kind == "run":
            yield from self._run(r, row)
        else:
            yield from self._staves(r, row)

    def shared(self) -> Iterator[Item]:
        """Items that serve two rows: unlike parts ganged."""
        singles = [(r, row, self.job.parts[row.parts[0]]) for r, row in enumerate(self.rows) if row.kind == "piece"]
        for r1, row1, p1 in singles:
            for r2, row2, p2 in singles:
                if r1 == r2 or p1.species != p2.species or (p1 is p2 and (row1.pin or row2.pin)):
                    continue
                if p1.thickness == p2.thickness and r1 < r2:
                    yield from self._mixed_gang(r1, row1, p1, r2, row2, p2)

    # -- one part -----------------------------------------------------------------------------------------------

    def _singles(self, r: int, row: Row) -> Iterator[Item]:
        i = row.parts[0]
        part = self.job.parts[i]
        shortest = self.shop.machines.min_mill_length
        kerf = self.shop.kerf.crosscut
        for length, width in rough_sizes(part, self.shop):
            if length >= shortest:
                counts = [1]
            else:
                enough = ceil((shortest + kerf) / (length + kerf))
                counts = list(range(1, min(int(row.need), enough + GANG_EXTRA) + 1))
            for n in counts:
                spots = [(i, k * (length + kerf), length, width) for k in range(n)]
                for layers in range(1, self._most_layers(part, int(row.need) // n) + 1):
                    gives = ((r, Fraction(n * layers)),)
                    yield from self._blank(part.species, spots, (part.thickness,) * layers, gives)

    def _most_layers(self, part: Part, wanted: int, thickness: Fraction | None = None) -> int:
        thickest, tested = self.thickest.get(part.species, (Fraction(0), False))
        thick = part.thickness if thickness is None else thickness
        if thick < self.shop.machines.min_thickness:
            return 1
        n = 1
        while n < wanted and thickness_need((thick,) * (n + 1), tested, self.shop) <= thickest:
            n += 1
        return n

    def _blank(
        self,
        species: str,
        spots: Sequence[tuple[int, Fraction, Fraction, Fraction]],
        thicknesses: tuple[Fraction, ...],
        gives: tuple[tuple[int, Fraction], ...],
        stave: bool = False,
    ) -> Iterator[Item]:
        """Items of one blank whose layers all hold the same `spots` (part, x, length, width); one item for each face
        that parts with one clear face may show."""
        layers = len(thicknesses)
        length = max(max(x + a for _, x, a, _ in spots), self.shop.machines.min_mill_length)
        width = max(max(w for *_, w in spots), self.shop.machines.min_rip_width)
        if width > blank_width_limit(self.shop, layers) or min(thicknesses) < self.shop.machines.min_thickness:
            return
        one_face = layers == 1 and any(self.job.parts[i].faces == 1 for i, *_ in spots)
        for show in ("A", "B") if one_face else (None,):
            pieces = tuple(
                PieceSpec(i, x, Fraction(0), a, w, layer, layers, show if self.job.parts[i].faces == 1 else None, stave)
                for layer in range(1, layers + 1)
                for i, x, a, w in spots
            )
            yield Item(species, length, width, (BlankSpec(Fraction(0), length, width, thicknesses, pieces),), gives)

    # -- two parts ----------------------------------------------------------------------------------------------

    def _mixed_gang(self, r1: int, row1: Row, p1: Part, r2: int, row2: Row, p2: Part) -> Iterator[Item]:
        """Short parts end to end with others of the same thickness: the shortest such gang that is long enough to mill."""
        shortest, kerf = self.shop.machines.min_mill_length, self.shop.kerf.crosscut
        for (l1, w1), (l2, w2) in product(rough_sizes(p1, self.shop), rough_sizes(p2, self.shop)):
            if min(l1, l2) >= shortest or min(w1, w2) < GANG_WIDTH * max(w1, w2):
                continue
            fewest: tuple[Fraction, int, int] | None = None
            for a, b in product((1, 2, 3), (1, 2, 3)):
                total = a * (l1 + kerf) + b * (l2 + kerf) - kerf
                if a <= row1.need and b <= row2.need and total >= shortest and (fewest is None or total < fewest[0]):
                    fewest = (total, a, b)
            if fewest is None:
                continue
            _, a, b = fewest
            start = a * (l1 + kerf)
            spots = [(row1.parts[0], k * (l1 + kerf), l1, w1) for k in range(a)]
            spots += [(row2.parts[0], start + k * (l2 + kerf), l2, w2) for k in range(b)]
            yield from self._blank(p1.species, spots, (p1.thickness,), ((r1, Fraction(a)), (r2, Fraction(b))))

    # -- matched sets and staves --------------------------------------------------------------------------------

    def _layered_set(self, parts: Sequence[int], gives: tuple[tuple[int, Fraction], ...]) -> Iterator[Item]:
        ps = [self.job.parts[i] for i in parts]
        length = max(max(rough_length(p, self.shop) for p in ps), self.shop.machines.min_mill_length)
        piece_length = max(rough_length(p, self.shop) for p in ps)
        width = max(rough_width(p, self.shop) for p in ps)
        blank_width = max(width, self.shop.machines.min_rip_width)
        if blank_width > blank_width_limit(self.shop, len(ps)) or min(p.thickness for p in ps) < self.shop.machines.min_thickness:
            return
        pieces = tuple(PieceSpec(i, Fraction(0), Fraction(0), piece_length, width, k + 1, len(ps)) for k, i in enumerate(parts))
        blank = BlankSpec(Fraction(0), length, blank_width, tuple(p.thickness for p in ps), pieces)
        yield Item(ps[0].species, length, blank_width, (blank,), gives)

    def _pairs(self, r: int, row: Row) -> Iterator[Item]:
        for n in range(1, int(row.need) + 1):
            parts = row.parts * n
            thickest, tested = self.thickest.get(self.job.parts[parts[0]].species, (Fraction(0), False))
            if n > 1 and thickness_need([self.job.parts[i].thickness for i in parts], tested, self.shop) > thickest:
                return
            yield from self._layered_set(parts, ((r, Fraction(n)),))

    def _slip(self, r: int, row: Row) -> Iterator[Item]:
        yield from self._layered_set(row.parts, ((r, Fraction(1)),))

    def _run(self, r: int, row: Row) -> Iterator[Item]:
        """A run as one blank, and as one blank a piece where each is long enough: a short blank loses less to warp."""
        for order in dict.fromkeys((row.parts, row.parts[::-1])):
            ps = [self.job.parts[i] for i in order]
            width = max(rough_width(p, self.shop) for p in ps)
            spots: list[tuple[int, Fraction, Fraction]] = []
            x = Fraction(0)
            for k, (i, p) in enumerate(zip(order, ps, strict=True)):
                length = run_piece_length(p, self.shop, k == 0, k == len(ps) - 1)
                spots.append((i, x, length))
                x += length + self.shop.kerf.crosscut
            total = x - self.shop.kerf.crosscut
            thinnest = min(p.thickness for p in ps)
            if (
                width > blank_width_limit(self.shop, 1)
                or width < self.shop.machines.min_rip_width
                or thinnest < self.shop.machines.min_thickness
            ):
                continue
            shows: tuple[str | None, ...] = ("A", "B") if any(p.faces == 1 for p in ps) else (None,)
            for show in shows:
                pieces = tuple(
                    PieceSpec(i, x, Fraction(0), length, width, 1, 1, show if self.job.parts[i].faces == 1 else None)
                    for i, x, length in spots
                )
                gives = ((r, Fraction(1)),)
                if len({p.thickness for p in ps}) == 1:
                    length = max(total, self.shop.machines.min_mill_length)
                    whole = BlankSpec(Fraction(0), length, width, (ps[0].thickness,), pieces)
                    yield Item(ps[0].species, length, width, (whole,), gives)
                if all(q.length >= self.shop.machines.min_mill_length for q in pieces) and len(pieces) > 1:
                    apart = tuple(BlankSpec(q.x, q.length, width, (self.job.parts[q.part].thickness,), (q,)) for q in pieces)
                    yield Item(ps[0].species, total, width, apart, gives)

    def _staves(self, r: int, row: Row) -> Iterator[Item]:
        i = row.parts[0]
        part = self.job.parts[i]
        whole = stave_width_needed(part, self.shop)
        length = rough_length(part, self.shop)
        thick = stave_thickness(part, self.shop)
        if row.pin is not None:
            # A pinned stave counts for its own row and for the width of its part.
            width_row = next(k for k, q in enumerate(self.rows) if q.parts == row.parts and q.pin is None)
            if whole_of(row.pin.piece) != row.pin.piece:
                for net in stave_widths(part, self.shop):
                    spots = [(i, Fraction(0), length, net + 2 * self.shop.allowances.edge)]
                    yield from self._blank(part.species, spots, (thick,), ((width_row, net), (r, Fraction(1))), stave=True)
            else:
                spots = [(i, Fraction(0), length, rough_width(part, self.shop))]
                yield from self._blank(part.species, spots, (part.thickness,), ((width_row, whole), (r, Fraction(1))))
            return
        copies = int(row.need / whole)
        for along, across in rough_sizes(part, self.shop):
            yield from self._blank(part.species, [(i, Fraction(0), along, across)], (part.thickness,), ((r, whole),))
        for net in stave_widths(part, self.shop):
            width = net + 2 * self.shop.allowances.edge
            for layers in range(1, self._most_layers(part, copies * ceil(whole / net), thick) + 1):
                spots = [(i, Fraction(0), length, width)]
                yield from self._blank(part.species, spots, (thick,) * layers, ((r, net * layers),), stave=True)


def stave_widths(part: Part, shop: Shop) -> tuple[Fraction, ...]:
    """Net stave widths that are tried: steps through the range, its ends, and the widest equal shares of the whole width."""
    if part.staves is None:
        return ()
    lo, hi = part.staves
    whole = stave_width_needed(part, shop)
    hi = min(hi, whole)
    step = STAVE_STEP
    while (hi - lo) / step > MOST_STAVE_WIDTHS:
        step *= 2
    widths = {hi}
    w = lo
    while w < hi:
        widths.add(w)
        w += step
    n = ceil(whole / hi)
    for shares in (n, n + 1):
        if lo <= whole / shares <= hi:
            widths.add(whole / shares)
    return tuple(sorted(widths))
