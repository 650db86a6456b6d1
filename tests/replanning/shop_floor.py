"""What truly happened to the boards, kept apart from the program: cuts made, pieces finished, wood lost.

The model knows nothing of plans but what was sawn when; shapely, a general geometry library, says what wood is left.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from shapely.geometry import MultiPolygon, Polygon, box
from shapely.ops import unary_union

from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import Cut, Piece, Plan

# Square inches: far below what a saw can see, above the rounding of floats.
HAIR = 1e-6


def rectangle(x: Fraction, y: Fraction, length: Fraction, width: Fraction) -> Polygon:
    return box(float(x), float(y), float(x + length), float(y + width))


def kerf(cut: Cut) -> Polygon:
    if cut.kind == "crosscut":
        return rectangle(cut.at, cut.start, cut.kerf, cut.end - cut.start)
    return rectangle(cut.start, cut.at, cut.end - cut.start, cut.kerf)


def outline(board: Board) -> Polygon:
    near = [(float(p.x), float(p.near)) for p in board.outline]
    far = [(float(p.x), float(p.far)) for p in board.outline]
    return Polygon(near + far[::-1])


@dataclass
class ShopFloor:
    """Everything that is true whatever the plan says."""

    job: Job
    # By board: rough cuts made, as (kind, at, start, end).
    sawn: dict[str, list[Cut]] = field(default_factory=dict)
    # Finished pieces where they were cut, and what became of those lost.
    finished: dict[str, tuple[str, Piece]] = field(default_factory=dict)
    lost: set[str] = field(default_factory=set)

    def look(self, plan: Plan) -> None:
        """Take note of what a plan says is done, after the test itself has told so."""
        for entry in plan.boards:
            known = {(c.kind, c.at, c.start, c.end) for c in self.sawn.get(entry.board, [])}
            for cut in entry.cuts:
                if cut.stage == "rough" and cut.state == "done" and (cut.kind, cut.at, cut.start, cut.end) not in known:
                    self.sawn.setdefault(entry.board, []).append(cut)

    def holds(self, plan: Plan) -> list[str]:
        """What in a plan can't be true of the wood that is left."""
        wrong = []
        entries = {b.board: b for b in plan.boards}
        for name, cuts in self.sawn.items():
            made = [c for c in entries[name].cuts if c.state == "done"] if name in entries else []
            there = {(c.kind, c.at, c.start, c.end) for c in made}
            wrong += [f"{name}: cut at {c.at} was made and is gone" for c in cuts if (c.kind, c.at, c.start, c.end) not in there]
        for entry in plan.boards:
            wood = outline(self.job.board_named[entry.board])
            dust = unary_union([kerf(c) for c in self.sawn.get(entry.board, [])])
            left = wood.difference(dust)
            parts = list(left.geoms) if isinstance(left, MultiPolygon) else [left]
            for t in [*entry.blanks, *(o for o in entry.offcuts if o.kept)]:
                shape = rectangle(t.x, t.y, t.length, t.width)
                if max((p.intersection(shape).area for p in parts), default=0.0) < shape.area - HAIR * 100:
                    wrong.append(f"{entry.board}: {t} is not in one piece of the wood that is left")
            wrong += self._account(entry.board, plan)
        return wrong

    def _account(self, name: str, plan: Plan) -> list[str]:
        """Kerfs of all rough cuts and the pieces of wood between them make up the board; what is used lies in one each."""
        entry = next(b for b in plan.boards if b.board == name)
        wood = outline(self.job.board_named[name])
        rough = [c for c in entry.cuts if c.stage == "rough"]
        dust = unary_union([kerf(c) for c in rough]).intersection(wood)
        blanks = [rectangle(b.x, b.y, b.length, b.width) for b in entry.blanks]
        inside = {b.blank: rectangle(b.x, b.y, b.length, b.width) for b in entry.blanks}
        kept = [
            r
            for o in entry.offcuts
            if o.kept
            and o.layers == 1
            and (r := rectangle(o.x, o.y, o.length, o.width)) is not None
            and not any(b.contains(r) for b in inside.values())
        ]
        used = unary_union([*blanks, *kept])
        waste = wood.difference(used).difference(dust)
        total = sum(b.area for b in blanks) + sum(k.area for k in kept) + dust.area + waste.area
        if abs(total - wood.area) > HAIR * 100 * (1 + len(blanks) + len(kept)):
            return [f"{name}: blanks, offcuts, kerf and waste make {total}, the board is {wood.area}"]
        return []
