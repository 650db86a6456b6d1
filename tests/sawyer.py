"""The second half of `layouts`: a laid-out board becomes blanks, pieces, kept offcuts and the cuts that part them."""

from __future__ import annotations

from fractions import Fraction as F
from random import Random
from typing import TYPE_CHECKING

from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Piece

if TYPE_CHECKING:
    from layouts import Bench, Slot

UNSOUND = {"loose knot", "check", "split", "wane", "pith", "worm", "bark", "other"}


class Saw:
    """Collects cuts in the order they are made."""

    def __init__(self, bench: Bench, beyond: bool) -> None:
        self.bench, self.beyond, self.cuts = bench, beyond, []
        self.kerf = bench.job.shop.kerf

    def add(self, stage: str, kind: str, at: F, start: F, end: F, blank: str | None = None, layer: int | None = None) -> None:
        kerf = getattr(self.kerf, kind)
        self.cuts.append(Cut(len(self.cuts) + 1, stage, kind, at, start, end, kerf, blank, layer))

    def across(self, at: F) -> None:
        """A rough crosscut of the whole board at `at`."""
        near, far = self.bench.board.channel(at, min(at + self.kerf.crosscut, self.bench.board.length))
        if self.beyond:
            # As long as the board is wide anywhere: the saw runs out into the air.
            near, far = min(p.near for p in self.bench.board.outline), max(p.far for p in self.bench.board.outline)
        self.add("rough", "crosscut", at, near, far)


def _sound(bench: Bench, x: F, y: F, length: F, width: F, layer: int = 1, layers: int = 1) -> bool:
    from layouts import THROUGH, meet

    for d in bench.board.defects:
        face = "both" if d.kind in THROUGH else d.face
        here = face == "both" or (face == "A" and layer == 1) or (face == "B" and layer == layers)
        if here and d.kind in UNSOUND and meet(x, y, length, width, d.x, d.y, d.length, d.width):
            return False
    return True


def saw_up(bench: Bench, rng: Random) -> BoardPlan:
    """Cut up one board that has at least one band."""
    saw, board = Saw(bench, rng.random() < 0.5), bench.board
    offcuts: list[Offcut] = []

    def keep(x: F, y: F, length: F, width: F, layer: int = 1, layers: int = 1) -> bool:
        v = bench.job.shop.values
        if length < v.offcut_min_length or width < v.offcut_min_width or not _sound(bench, x, y, length, width, layer, layers):
            return False
        offcuts.append(Offcut(f"{board.name}-o{len(offcuts) + 1}", x, y, length, width, layer, layers, True))
        return True

    (_rip_first if bench.rip_first else _crosscut_first)(bench, saw, keep, rng)
    slots = [s for band in bench.bands for s in band.slots]
    blanks, pieces = [], []
    for i, slot in enumerate(slots):
        name = f"{board.name}-{i + 1}"
        for dx, item in slot.items:
            for laid in item.laid:
                shown = bench.marks(slot, dx, laid) or set()
                show = laid.show or next(face for face in ("A", "B", None) if face not in shown)
                x, y = slot.x + dx + laid.dx, slot.y + laid.dy
                pieces.append(Piece(
                    laid.name, laid.part.name, name, x, y, laid.length, laid.width, laid.layer, len(slot.thicknesses),
                    laid.part.thickness, laid.set, laid.stave, show, laid.hinge,
                ))
        mine = tuple(p.piece for p in pieces if p.blank == name)
        blanks.append(Blank(name, slot.x, slot.y, slot.length, slot.width, len(slot.thicknesses), slot.thicknesses, mine))
        _resaw(bench, saw, slot, name)
    for slot, blank in zip(slots, blanks, strict=True):
        _final(bench, saw, slot, blank, keep, rng)
    money = _money(bench, tuple(blanks), tuple(offcuts))
    return BoardPlan(board.name, *money, tuple(saw.cuts), tuple(blanks), tuple(pieces), tuple(offcuts))


def _money(bench: Bench, blanks: tuple[Blank, ...], offcuts: tuple[Offcut, ...]) -> tuple[F, F]:
    from layouts import board_area, milled_area

    b = bench.board
    cubic_inches = board_area(b) * b.nominal
    if b.cost is not None:
        cost = b.cost
    elif b.price_bf is not None:
        cost = cubic_inches / 144 * b.price_bf
    else:
        cost = cubic_inches * F(254, 10_000) ** 3 * (b.price_m3 or 0)
    kept = sum((milled_area(b, blanks, o) for o in offcuts), F(0))
    return cost, bench.job.shop.values.offcut_credit * kept / board_area(b) * cost


def _crosscut_first(bench: Bench, saw: Saw, keep, rng: Random) -> None:
    board, cross, rip = bench.board, saw.kerf.crosscut, saw.kerf.rip
    done = F(0)  # end of the last kerf
    for band in bench.bands:
        if band.low > done:
            saw.across(band.low - cross)
        if band.high < board.length:
            saw.across(band.high)
        done = band.high + cross
    if done < bench.high_end and keep(done, *_rectangle(board, done, bench.high_end)) and bench.high_end < board.length:
        saw.across(bench.high_end)
    for band in bench.bands:
        near, far = board.channel(band.low, band.high)
        level, natural = near, True
        for slot in sorted(band.slots, key=lambda s: s.y):
            if slot.y > level:
                # A strip thinner than the kerf would be dust: the saw runs along the edge.
                saw.add("rough", "rip", slot.y - rip, band.low, band.high)
            level, natural = slot.y + slot.width, False
            if level < far:
                saw.add("rough", "rip", level, band.low, band.high)
                level += rip
        assert not natural
        crook = F(0) if board.edges else board.crook * ((band.high - band.low) / board.length) ** 2
        used_from = min(s.y for s in band.slots)
        top = min(far, used_from + board.width - crook) if not board.edges else far
        if level < top:
            keep(band.low, level, band.high - band.low, top - level)


def _rectangle(board, low: F, high: F) -> tuple[F, F, F]:
    near, far = board.channel(low, high)
    return near, high - low, far - near


def _rip_first(bench: Bench, saw: Saw, keep, rng: Random) -> None:
    board, cross, rip = bench.board, saw.kerf.crosscut, saw.kerf.rip
    low = min(p.near for p in board.outline)
    high = max(p.far for p in board.outline)
    level = low
    for band in bench.bands:
        if band.low > level:
            saw.add("rough", "rip", band.low - rip, F(0), board.length)
        level = band.high
        if level < high:
            saw.add("rough", "rip", level, F(0), board.length)
            level += rip
    crook = F(0) if board.edges else board.crook
    top = min(p.far for p in board.outline) if board.edges else min(board.width, bench.bands[0].low + board.width - crook)
    if level < top and rng.random() < 0.7:
        near, far = board.channel(bench.low_end, bench.high_end)
        if near <= level and far >= top:
            keep(bench.low_end, level, bench.high_end - bench.low_end, top - level)
    for band in bench.bands:
        done = F(0)
        for slot in band.slots:
            if slot.x > done:
                saw.add("rough", "crosscut", slot.x - cross, band.low, band.high)
            end = slot.x + slot.length
            if end < board.length:
                saw.add("rough", "crosscut", end, band.low, band.high)
            done = end + cross
        near, far = board.channel(min(done, board.length), board.length)
        if done < bench.high_end and near <= band.low and far >= band.high:
            keep(done, band.low, bench.high_end - done, band.high - band.low)


def _resaw(bench: Bench, saw: Saw, slot: Slot, name: str) -> None:
    a = bench.job.shop.allowances
    spare = a.tested_spare if bench.board.stress == "tested" else a.resaw_spare
    depth = F(0)
    for i, thickness in enumerate(slot.thicknesses[:-1]):
        # Below the flattened face: the layer, what cleans up its sawn face, its spare; then the kerf and the next sawn face.
        depth += thickness + a.sawn_face + spare + (saw.kerf.resaw + a.sawn_face if i else 0)
        saw.add("resaw", "resaw", depth, slot.x, slot.x + slot.length, name)


def _final(bench: Bench, saw: Saw, slot: Slot, blank: Blank, keep, rng: Random) -> None:
    cross, end = saw.kerf.crosscut, slot.x + slot.length
    layers = len(slot.thicknesses)
    for layer in range(1, layers + 1):
        which = layer if layers > 1 else rng.choice([None, 1])
        if slot.items[0][1].rows > 1:
            first = [p for p in slot.items[0][1].laid if p.layer == layer]
            at = slot.y + first[0].width
            saw.add("final", "rip", at, slot.x, end, blank.blank, which)
            continue
        here = sorted(slot.x + dx + p.dx + p.length for dx, item in slot.items for p in item.laid if p.layer == layer)
        for x in here[:-1]:
            saw.add("final", "crosscut", x, slot.y, slot.y + slot.width, blank.blank, which)
        tail = here[-1] + cross
        if tail < end and (keep(tail, slot.y, end - tail, slot.width, layer, layers) or rng.random() < 0.5):
            saw.add("final", "crosscut", here[-1], slot.y, slot.y + slot.width, blank.blank, which)
