"""Blanks of unlike layers: what one layer of a resawn blank may hold beside another, and which such blanks are tried.

Thick stock with small parts is everyday work: a panel and, from under it, two rails. A layer holds one piece, or two end
to end or side by side; all of them begin at the blank's corner, and none need fill it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations, combinations_with_replacement, islice, permutations, product

import numpy as np

from yieldopt.planning.demand.rows import Row
from yieldopt.planning.demand.specs import BlankSpec, Item, PieceSpec
from yieldopt.sizes.sizing import blank_width_limit, rough_sizes, thickness_need
from yieldopt.wood.lumber import Job

# Blanks of one piece a layer, each filling at least this share of it, are always tried and may share a strip.
WELL_FILLED = Fraction(13, 20)
# Most other sets of unlike layers tried for one species, those of one piece a layer first, the best filled first; and where
# it has so few kinds of part that all their sets make no great number.
MOST_SETS = 24
FEW_KINDS, MOST_OF_FEW = 3, 150


@dataclass(frozen=True, slots=True)
class Spot:
    """A piece in a layer: row, part, offsets and size."""

    row: int
    part: int
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction


@dataclass(frozen=True, slots=True)
class Content:
    """What one layer holds, and the rectangle that it takes."""

    thickness: Fraction
    spots: tuple[Spot, ...]
    length: Fraction
    width: Fraction
    area: Fraction


# Layers from face A on.
Layers = tuple[Content, ...]


def unlike_layers(job: Job, rows: Sequence[Row], thickest: Mapping[str, tuple[Fraction, bool]]) -> Iterator[Item]:
    """Items of blanks whose layers are unlike. `thickest`: for each species the thickness of its thickest board that may be
    resawn, and whether one of them is tested."""
    by_species: dict[str, list[int]] = {}
    for r, row in enumerate(rows):
        part = job.parts[row.parts[0]]
        if row.kind == "piece" and part.thickness >= job.shop.machines.min_thickness:
            by_species.setdefault(part.species, []).append(r)
    for species, mine in by_species.items():
        yield from _Sets(job, rows, mine, *thickest.get(species, (Fraction(0), False))).items()


class _Sets:
    """The sets of unlike layers of one species."""

    def __init__(self, job: Job, rows: Sequence[Row], mine: Sequence[int], most: Fraction, tested: bool) -> None:
        self.job, self.rows, self.mine, self.shop = job, rows, mine, job.shop
        self.most, self.tested = most, tested
        self.sets = MOST_OF_FEW if len(mine) <= FEW_KINDS else MOST_SETS
        self.thicknesses = sorted(job.parts[rows[r].parts[0]].thickness for r in mine)

    def items(self) -> Iterator[Item]:
        if not self._thin_enough(self.thicknesses[:2]):
            return
        singles = [c for r in self.mine for c in self._of_one(r)]
        full: list[Layers] = []
        other: list[Layers] = []
        for layers in self._best_filled(singles, singles):
            (full if self._is_full(layers) else other).append(layers)
        other = other[: self.sets]
        if len(other) < self.sets and self._thin_enough(self.thicknesses[:3]):
            other += sorted(self._threes(singles), key=self._waste)[: self.sets - len(other)]
        if len(other) < self.sets:
            doubles = [c for r, q in combinations_with_replacement(self.mine, 2) for c in self._of_two(r, q)]
            other += islice(self._best_filled(doubles, [*singles, *doubles]), self.sets - len(other))
        for alone, sets in ((False, full), (True, other)):
            for layers in sets:
                for variant in self._variants(layers):
                    yield from self._orders(variant, alone)

    def _thin_enough(self, thicknesses: Sequence[Fraction]) -> bool:
        return len(thicknesses) > 1 and thickness_need(thicknesses, self.tested, self.shop) <= self.most

    def _of_one(self, r: int) -> Iterator[Content]:
        i = self.rows[r].parts[0]
        for length, width in rough_sizes(self.job.parts[i], self.shop):
            yield self._content(Spot(r, i, Fraction(0), Fraction(0), length, width))

    def _of_two(self, r: int, q: int) -> Iterator[Content]:
        """Two pieces of one thickness end to end or side by side, in the order of the parts list."""
        kerf = self.shop.kerf
        for a, b in product(self._of_one(r), self._of_one(q)):
            if a.thickness == b.thickness and self._wanted((a, b)):
                (s,), (t,) = a.spots, b.spots
                yield self._content(s, replace(t, x=s.length + kerf.crosscut))
                yield self._content(s, replace(t, y=s.width + kerf.rip))

    def _content(self, *spots: Spot) -> Content:
        thickness = self.job.parts[spots[0].part].thickness
        area = sum((s.length * s.width for s in spots), Fraction(0))
        return Content(thickness, spots, max(s.x + s.length for s in spots), max(s.y + s.width for s in spots), area)

    def _best_filled(self, some: Sequence[Content], others: Sequence[Content]) -> Iterator[Layers]:
        """Every two contents, one of `some` and one of `others`, that can be two layers; those that fill their blank best
        first."""
        sizes = [np.array([[float(c.length), float(c.width), float(c.area)] for c in cs]).reshape(-1, 3) for cs in (some, others)]
        a, b = sizes[0][:, None, :], sizes[1][None, :, :]
        filled = (a[..., 2] + b[..., 2]) / (np.maximum(a[..., 0], b[..., 0]) * np.maximum(a[..., 1], b[..., 1]))
        seen: set[frozenset[int]] = set()
        for k in np.argsort(-filled.round(9), axis=None, kind="stable").tolist():
            i, j = divmod(k, len(others))
            key = frozenset((id(some[i]), id(others[j])))
            if key not in seen and not _alike(some[i], others[j]) and self._possible((some[i], others[j])):
                seen.add(key)
                yield some[i], others[j]

    def _threes(self, singles: Sequence[Content]) -> Iterator[Layers]:
        for layers in combinations(singles, 3):
            if len({c.spots[0].row for c in layers}) == 3 and self._possible(layers):
                yield layers

    def _variants(self, layers: Layers) -> Iterator[Layers]:
        """The layers, and of two one of them twice."""
        yield layers
        if len(layers) == 2:
            for a, b in permutations(layers):
                if self._possible((a, a, b)):
                    yield a, a, b

    def _possible(self, layers: Layers) -> bool:
        return (
            self._wanted(layers)
            and self._thin_enough([c.thickness for c in layers])
            and self._size(layers)[1] <= blank_width_limit(self.shop, len(layers))
        )

    def _wanted(self, layers: Layers) -> bool:
        """No more of a row than its need, and no pinned piece beside others of its part, of which any might be meant."""
        gives = _gives(layers)
        parts = [self.rows[r].parts for r in gives]
        return all(units <= self.rows[r].need for r, units in gives.items()) and len(set(parts)) == len(parts)

    def _size(self, layers: Layers) -> tuple[Fraction, Fraction]:
        m = self.shop.machines
        return max(m.min_mill_length, *(c.length for c in layers)), max(m.min_rip_width, *(c.width for c in layers))

    def _is_full(self, layers: Layers) -> bool:
        length, width = self._size(layers)
        long = all(c.length >= self.shop.machines.min_mill_length for c in layers)
        return long and min(c.area for c in layers) >= WELL_FILLED * length * width

    def _waste(self, layers: Layers) -> Fraction:
        length, width = self._size(layers)
        return 1 - sum((c.area for c in layers), Fraction(0)) / (len(layers) * length * width)

    def _orders(self, layers: Layers, alone: bool) -> Iterator[Item]:
        """The item in each order of its layers, two layers alike above the other."""
        length, width = self._size(layers)
        orders = permutations(layers) if len(set(layers)) == len(layers) else [layers]
        species = self.job.parts[layers[0].spots[0].part].species
        gives = tuple(sorted((r, Fraction(units)) for r, units in _gives(layers).items()))
        for order in orders:
            pieces = tuple(
                PieceSpec(s.part, s.x, s.y, s.length, s.width, k + 1, len(order)) for k, c in enumerate(order) for s in c.spots
            )
            blank = BlankSpec(Fraction(0), length, width, tuple(c.thickness for c in order), pieces)
            yield Item(species, length, width, (blank,), gives, alone=alone)


def _alike(a: Content, b: Content) -> bool:
    """Layers of the same pieces, however they lie, are not unlike."""
    return sorted(s.row for s in a.spots) == sorted(s.row for s in b.spots)


def _gives(layers: Layers) -> dict[int, int]:
    gives: dict[int, int] = {}
    for c in layers:
        for s in c.spots:
            gives[s.row] = gives.get(s.row, 0) + 1
    return gives
