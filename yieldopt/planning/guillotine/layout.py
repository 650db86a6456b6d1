"""From a bare tree of joins to the layout tree with real lengths, kerfs and leftovers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from yieldopt.planning.guillotine.model import Item, Node, Sheet


@dataclass(frozen=True, slots=True)
class Bare:
    """A layout without positions: one item, nothing, or two parts beside each other.

    `axis` "x" puts `second` at larger x. Gross extents; `at` is the gross extent of the first part along the axis.
    """

    item: int | None = None
    axis: str | None = None
    at: int = 0
    first: Bare | None = None
    second: Bare | None = None


NOTHING = Bare()


def packed(items: Sequence[Item], sheet: Sheet, bare: Bare) -> tuple[Bare, int, int]:
    """`bare` without empty parts and with every `at` set to what the first part really takes; also its gross extents."""
    if bare.item is not None:
        item = items[bare.item]
        return bare, item.length + sheet.kerf_x, item.width + sheet.kerf_y
    if bare.axis is None or bare.first is None or bare.second is None:
        return bare, 0, 0
    first, l1, w1 = packed(items, sheet, bare.first)
    second, l2, w2 = packed(items, sheet, bare.second)
    if l1 == 0:
        return second, l2, w2
    if l2 == 0:
        return first, l1, w1
    if bare.axis == "x":
        return Bare(axis="x", at=l1, first=first, second=second), l1 + l2, max(w1, w2)
    return Bare(axis="y", at=w1, first=first, second=second), max(l1, l2), w1 + w2


def grown(sheet: Sheet, items: Sequence[Item], bare: Bare) -> Node:
    """The layout tree that `bare` stands for on `sheet`; its `at` must leave room for the parts."""
    return _grow(sheet, items, bare, 0, 0, sheet.length, sheet.width)


def _grow(sheet: Sheet, items: Sequence[Item], bare: Bare, x: int, y: int, length: int, width: int) -> Node:
    if bare.item is not None:
        item = items[bare.item]
        if item.length < length:
            return _cut(sheet, items, x, y, length, width, "x", item.length, bare, NOTHING)
        if item.width < width:
            return _cut(sheet, items, x, y, length, width, "y", item.width, bare, NOTHING)
        return Node(x, y, length, width, item=bare.item)
    if bare.axis is None or bare.first is None or bare.second is None:
        return Node(x, y, length, width)
    kerf = sheet.kerf_x if bare.axis == "x" else sheet.kerf_y
    return _cut(sheet, items, x, y, length, width, bare.axis, bare.at - kerf, bare.first, bare.second)


def _cut(
    sheet: Sheet, items: Sequence[Item], x: int, y: int, length: int, width: int, axis: str, keep: int, a: Bare, b: Bare
) -> Node:
    """Cut along `axis` so that `keep` is left before the kerf; parts that the kerf swallows are left out."""
    parts = []
    if axis == "x":
        if keep > 0:
            parts.append(_grow(sheet, items, a, x, y, keep, width))
        rest = length - keep - sheet.kerf_x
        if rest > 0:
            parts.append(_grow(sheet, items, b, x + keep + sheet.kerf_x, y, rest, width))
        return Node(x, y, length, width, "x", x + keep, tuple(parts))
    if keep > 0:
        parts.append(_grow(sheet, items, a, x, y, length, keep))
    rest = width - keep - sheet.kerf_y
    if rest > 0:
        parts.append(_grow(sheet, items, b, x, y + keep + sheet.kerf_y, length, rest))
    return Node(x, y, length, width, "y", y + keep, tuple(parts))
