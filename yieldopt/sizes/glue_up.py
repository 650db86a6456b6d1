"""Thickness left on staves for flattening the glued panel: taken wherever the boards have it, and how much it is.

A panel comes out of the clamps a little uneven, and it is flattened afterwards: staves milled to the finished thickness leave
nothing to take off. So each glued-up piece gets the most, up to `glue_up`, that the blanks of all its staves can give: the
same on all of them, since they are flattened together. Lengths are `Fraction` inches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.ground.names import whole_of
from yieldopt.sizes.sizing import resaw_depths, stave_thickness, thickness_need, warp_loss
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Blank, BoardPlan, Offcut, Piece, Spoiled

# A planer is set to the next lower of these: a sixty-fourth of an inch, half a millimetre (common practice, no source).
MARK = {"in": Fraction(1, 64), "mm": Fraction(5, 254)}

# Board and blank -> thickness there: what was measured last.
Measured = Callable[[Board, Blank], Fraction]
# A layer of a blank: (board, blank, layer from face A).
Layer = tuple[str, str, int]


def left_on(pieces: Iterable[tuple[BoardPlan, Piece]], job: Job) -> dict[str, Fraction]:
    """What each glued-up piece has left for flattening: the least that any of its staves' layers is over the part."""
    left: dict[str, Fraction] = {}
    for entry, piece in pieces:
        if piece.stave is not None:
            blank = next(b for b in entry.blanks if b.blank == piece.blank)
            over = blank.thicknesses[piece.layer - 1] - job.part_named[piece.part].thickness
            left[whole_of(piece.piece)] = min(over, left.get(whole_of(piece.piece), over))
    return left


def least_thicknesses(blank: Blank, pieces: Iterable[Piece], job: Job) -> tuple[Fraction, ...]:
    """The blank's layers without what is left on staves beyond the least that the job demands: what they must come out at."""
    held = [p for p in pieces if p.blank == blank.blank and p.part in job.part_named]
    least = []
    for layer, thickness in enumerate(blank.thicknesses, 1):
        mine = [p for p in held if p.layer == layer]
        if mine and all(p.stave is not None for p in mine):
            thickness = min(thickness, max(stave_thickness(job.part_named[p.part], job.shop) for p in mine))
        least.append(thickness)
    return tuple(least)


def thickened(
    job: Job, boards: Sequence[BoardPlan], measured: Measured = lambda board, _: board.thickness
) -> tuple[BoardPlan, ...]:
    """The boards with their staves as thick as they may be: up to `glue_up` over their part.

    Only layers that hold nothing but staves are thickened, all staves of a panel alike. A blank that is begun stays as it
    is; what its layers have over is then the most that the rest of the panel gets.
    """
    glue = _GlueUps(job, boards, measured)
    return tuple(glue.applied(b) for b in boards)


@dataclass
class _Room:
    """What one blank can give to the layers of staves in it."""

    spare: Fraction
    # Panels whose staves its layers hold, one for each such layer.
    panels: list[str]


class _GlueUps:
    def __init__(self, job: Job, boards: Sequence[BoardPlan], measured: Measured) -> None:
        self.job, self.measured = job, measured
        # Every panel -> the one that stands for all which share a layer with it, and so have its thickness.
        self.alike: dict[str, str] = {}
        # Layers that may be thickened, with the panel that stands for theirs.
        self.layers: dict[Layer, str] = {}
        self.cap: dict[str, Fraction] = {}
        rooms = [r for entry in boards for blank in entry.blanks if (r := self._read(entry, blank)) is not None]
        self.over = self._shared(rooms)

    def _stands_for(self, panel: str) -> str:
        while self.alike.setdefault(panel, panel) != panel:
            panel = self.alike[panel]
        return panel

    def _read(self, entry: BoardPlan, blank: Blank) -> _Room | None:
        """Take note of a blank's layers of staves; None where it has none that may be thickened."""
        mine = [p for p in entry.pieces if p.blank == blank.blank and p.part in self.job.part_named]
        begun = any(p.state == "done" for p in mine) or any(c.state == "done" and c.blank == blank.blank for c in entry.cuts)
        panels: list[str] = []
        for layer, thickness in enumerate(blank.thicknesses, 1):
            held = [p for p in mine if p.layer == layer]
            staves = [p for p in held if p.stave is not None]
            if not staves:
                continue
            first = whole_of(staves[0].piece)
            for p in staves[1:]:
                self.alike[self._stands_for(whole_of(p.piece))] = self._stands_for(first)
            thick = max(self.job.part_named[p.part].thickness for p in staves)
            if begun or len(staves) < len(held) or _holds_more(entry, blank, layer) or _unlike(self.job, staves):
                self.cap[first] = min(max(Fraction(0), thickness - thick), self.cap.get(first, thickness))
            else:
                self.layers[entry.board, blank.blank, layer] = first
                panels.append(first)
        if not panels:
            return None
        board = self.job.board_named[entry.board]
        bare = list(blank.thicknesses)
        for name, of, layer in self.layers:
            if (name, of) == (entry.board, blank.blank):
                bare[layer - 1] = next(self.job.part_named[p.part].thickness for p in mine if p.layer == layer)
        need = thickness_need(bare, board.stress == "tested", self.job.shop) + warp_loss(board, blank.length, blank.width)
        return _Room(self.measured(board, blank) - need, panels)

    def _shared(self, rooms: Sequence[_Room]) -> Mapping[str, Fraction]:
        """What each panel gets over its part: all rise together, each until one of its blanks is used up."""
        most = max(self.job.shop.allowances.glue_up, self.job.shop.allowances.glue_up_least)
        open_ones = {self._stands_for(p) for r in rooms for p in r.panels}
        over = dict.fromkeys(open_ones, Fraction(0))
        cap = dict.fromkeys(open_ones, most)
        for panel, least in self.cap.items():
            cap[self._stands_for(panel)] = min(least, cap.get(self._stands_for(panel), least))
        while open_ones:
            step = min(cap[p] - over[p] for p in open_ones)
            rising = [(r, n) for r in rooms if (n := sum(self._stands_for(p) in open_ones for p in r.panels))]
            step = max(Fraction(0), min([step, *(self._left(r, over) / n for r, n in rising)]))
            for p in open_ones:
                over[p] += step
            full = {self._stands_for(p) for r, _ in rising if self._left(r, over) <= 0 for p in r.panels}
            open_ones -= full | {p for p in open_ones if over[p] >= cap[p]}
        return over

    def _left(self, room: _Room, over: Mapping[str, Fraction]) -> Fraction:
        return room.spare - sum((over[self._stands_for(p)] for p in room.panels), Fraction(0))

    def _mark(self, over: Fraction) -> Fraction:
        """Down to what a planer is set to, but never below the least that the job demands."""
        mark, least = MARK[self.job.units], self.job.shop.allowances.glue_up_least
        down = over // mark * mark
        return down if down >= least else min(over, least)

    def applied(self, entry: BoardPlan) -> BoardPlan:
        thick: dict[tuple[str, int], Fraction] = {}
        for p in entry.pieces:
            panel = self.layers.get((entry.board, p.blank, p.layer))
            if panel is not None:
                thick[p.blank, p.layer] = self.job.part_named[p.part].thickness + self._mark(self.over[self._stands_for(panel)])
        if not thick:
            return entry
        layers = {b.blank: tuple(thick.get((b.blank, k), t) for k, t in enumerate(b.thicknesses, 1)) for b in entry.blanks}
        blanks = tuple(replace(b, thicknesses=layers[b.blank]) for b in entry.blanks)
        pieces = tuple(replace(p, thickness=thick.get((p.blank, p.layer), p.thickness)) for p in entry.pieces)
        return self._resawn(replace(entry, blanks=blanks, pieces=pieces))

    def _resawn(self, entry: BoardPlan) -> BoardPlan:
        """The entry with its resaw cuts where its layers are now."""
        tested = self.job.board_named[entry.board].stress == "tested"
        at = {}
        for blank in entry.blanks:
            mine = sorted((c for c in entry.cuts if c.blank == blank.blank and c.stage == "resaw"), key=lambda c: c.at)
            if any(c.state == "done" for c in mine):
                continue
            depths = resaw_depths(blank.thicknesses, tested, self.job.shop)
            at.update({c.order: depth for c, depth in zip(mine, depths, strict=False)})
        return replace(entry, cuts=tuple(replace(c, at=at[c.order]) if c.order in at else c for c in entry.cuts))


def _holds_more(entry: BoardPlan, blank: Blank, layer: int) -> bool:
    """Whether a kept offcut or the wood of a spoiled piece lies in this layer of the blank: they count as what they are."""
    others: list[Offcut | Spoiled] = [*(o for o in entry.offcuts if o.kept), *entry.spoiled]
    return any(
        (o.layer, o.layers) == (layer, blank.layers)
        and blank.x <= o.x < blank.x + blank.length
        and blank.y <= o.y < blank.y + blank.width
        for o in others
    )


def _unlike(job: Job, staves: Sequence[Piece]) -> bool:
    return len({job.part_named[p.part].thickness for p in staves}) > 1
