"""One row of a board: its wood, blanks, pieces, defects and saw cuts to scale, before any lettering."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property

from yieldopt.drawing.page.marks import broken_end, cross
from yieldopt.drawing.page.paper import POINTS_PER_INCH, Row
from yieldopt.drawing.page.primitives import Data, Hatch, Line, Page, Point, Polygon, Rect
from yieldopt.drawing.page.tints import RED
from yieldopt.drawing.setting import Setting
from yieldopt.insight.leftovers import RoughPiece
from yieldopt.insight.slack import lies_across
from yieldopt.wood.lumber import Board
from yieldopt.wood.plan import BoardPlan, Cut, Piece, Placed

Number = float | Fraction
Box = tuple[float, float, float, float]


def finished_box(piece: Piece, setting: Setting) -> tuple[float, float, float, float]:
    """(x, y, length, width) in inches of the finished part inside its rough piece: behind its allowances from the datum
    end and the near edge; what is spare lies at the far side."""
    if piece.piece in setting.finished:
        return setting.finished[piece.piece]
    part = setting.job.part_named[piece.part]
    a = setting.job.shop.allowances
    end, edge = a.end, a.edge
    if not setting.run_places.get(piece.piece, (True, True))[0]:
        end = a.run_end
    length, width = (part.width, part.length) if lies_across(part, piece, setting.job) else (part.length, part.width)
    if piece.stave is not None:
        width = piece.width - 2 * edge
    found = float(piece.x + end), float(piece.y + edge), float(length), float(width)
    setting.finished[piece.piece] = found
    return found


class RowFrame:
    """Places one row on a page: `left`, `top` are where the row's first inch and the board's farthest edge lie."""

    def __init__(
        self,
        setting: Setting,
        board: Board,
        bp: BoardPlan,
        row: Row,
        scale: int,
        page: Page,
        left: float,
        top: float,
        index: int,
        across: int | None = None,
    ) -> None:
        """Lengths are drawn 1 : `scale`, widths 1 : `across` where that is given: narrow strips of a long board can be read."""
        self.setting, self.board, self.bp, self.row, self.page = setting, board, bp, row, page
        self.scale, self.index = scale, index
        self.points = POINTS_PER_INCH / scale
        self.across = across or scale
        self.points_across = POINTS_PER_INCH / self.across
        self.left, self.top = left, top
        self.low = float(min(p.near for p in board.outline))
        self.high = float(max(p.far for p in board.outline))
        self.regions: tuple[RoughPiece, ...] = setting.regions[board.name]

    def x(self, inches: Number) -> float:
        return self.left + (float(inches) - self.row.start) * self.points

    def y(self, inches: Number) -> float:
        return self.top + (self.high - float(inches)) * self.points_across

    @property
    def bottom(self) -> float:
        return self.y(self.low)

    @property
    def right(self) -> float:
        return self.x(self.row.end)

    def clip(self, x: float, y: float, length: float, width: float) -> Box | None:
        """A rectangle of wood as (left, top, width, height) on the page, as far as this row shows it."""
        start, end = self.row.start, self.row.end
        x0, x1 = x if x > start else start, x + length if x + length < end else end
        if x1 - x0 <= 1e-9:
            return None
        down = self.points_across
        left, top = self.left + (x0 - start) * self.points, self.top + (self.high - y - width) * down
        return left, top, (x1 - x0) * self.points, width * down

    def box(self, o: Placed) -> Box | None:
        """Where a blank, piece, offcut, region or defect lies on the page, as far as this row shows it."""
        span = self.setting.spans.get(id(o))
        if span is None:
            span = self.setting.spans[id(o)] = float(o.x), float(o.y), float(o.length), float(o.width)
        return self.clip(*span)

    @cached_property
    def outline(self) -> tuple[Point, ...]:
        """The row's edges on the page: the far one from the left, then the near one back."""
        points = self.board.outline
        inner = [p.x for p in points if self.row.start < p.x < self.row.end]
        stations = [Fraction(self.row.start).limit_denominator(10**6), *inner, Fraction(self.row.end).limit_denominator(10**6)]
        edges = [(s, *self.board.channel(s, s)) for s in stations]
        return tuple(
            [(self.x(s), self.y(far)) for s, _, far in edges] + [(self.x(s), self.y(near)) for s, near, _ in reversed(edges)]
        )

    def _data(self, **values: str) -> Data:
        return (("row", str(self.index)), *values.items())

    def draw(self) -> None:
        """Lay down everything but the lettering."""
        self.page.add(
            Rect(
                self.left,
                self.top,
                self.right - self.left,
                self.bottom - self.top,
                0,
                role="row",
                data=self._data(
                    start=repr(self.row.start),
                    end=repr(self.row.end),
                    high=repr(self.high),
                    scale=str(self.scale),
                    across=str(self.across),
                    board=self.board.name,
                ),
            )
        )
        self._wood()
        self._offcuts()
        self._blanks()
        self._defects()
        self._cuts()
        self._edges()

    def _wood(self) -> None:
        outline = self.outline
        self.page.add(Polygon(outline, 0, fill=1.0), Hatch(outline, 45, 6, 0.4, role="waste"))
        for region in self.regions:
            box = self.box(region)
            if box and region.holds == "trim":
                self.page.add(Hatch(_corners(box), -45, 6, 0.4, role="trim"))

    def _rect(
        self,
        o: Placed,
        role: str,
        name: str,
        weight: float,
        dash: tuple[float, ...] = (),
        fill: float | None = None,
        tint: str = "",
        **more: str,
    ) -> tuple[float, float, float, float] | None:
        box = self.box(o)
        if box:
            self.page.add(Rect(*box, weight, fill, dash, 0.0, role, self._data(name=name, **more), tint=tint))
        return box

    def _offcuts(self) -> None:
        for o in self.bp.offcuts:
            if o.kept and not any(_holds(b, o) for b in self.bp.blanks):
                self._rect(o, "offcut", o.offcut, 1.3, (7, 3), 1.0)
        for lost in self.bp.spoiled:
            box = self._rect(lost, "spoiled", lost.piece, 0.8, (1, 2), 1.0)
            if box:
                self.page.add(*cross(*box))

    def _blanks(self) -> None:
        for b in self.bp.blanks:
            self._rect(b, "blank", b.blank, 1.3, fill=1.0)
        for o in self.bp.offcuts:
            if o.kept and any(_holds(b, o) for b in self.bp.blanks):
                self._rect(o, "offcut", o.offcut, 1.0, (7, 3))
        drawn = set()
        for p in self.bp.pieces:
            again = (p.x, p.y, p.length, p.width) in drawn
            drawn.add((p.x, p.y, p.length, p.width))
            look = None if again else self.setting.looks.get(p.set or "")
            tint = look.tint if look else ""
            self._rect(p, "piece", p.piece, 0.0 if again else 0.5, () if p.layer == 1 else (1, 2), None, tint, layer=str(p.layer))
            box = None if again else self.clip(*finished_box(p, self.setting))
            if box:
                self.page.add(Rect(*box, 0.7, None, (3.5, 2), 0.0, "finished", self._data(name=p.piece)))

    def _defects(self) -> None:
        for d in self.board.defects:
            box = self.box(d)
            if not box:
                continue
            corners = _corners(box)
            face = d.seen_on
            if face in ("A", "both"):
                self.page.add(Hatch(corners, 45, 2.0, 0.5, 0.2, role="defect-hatch", ink=RED))
            if face in ("B", "both"):
                self.page.add(Hatch(corners, -45, 2.0, 0.5, 0.2, role="defect-hatch", ink=RED))
            dash = (2.0, 1.5) if face == "B" else ()
            self.page.add(
                Rect(*box, 1.1 if face == "both" else 0.8, None, dash, 0.0, "defect", self._data(kind=d.kind, face=face), ink=RED)
            )

    def cut_box(self, cut: Cut) -> Box | None:
        """Where a rough or final cut's kerf lies on the page; None for a resaw or where this row doesn't show it."""
        if cut.kind == "resaw":
            return None
        span = self.setting.spans.get(id(cut))
        if span is None:
            at, start, length, kerf = float(cut.at), float(cut.start), float(cut.end - cut.start), float(cut.kerf)
            span = (at, start, kerf, length) if cut.kind == "crosscut" else (start, at, length, kerf)
            self.setting.spans[id(cut)] = span
        return self.clip(*span)

    def _cuts(self) -> None:
        for cut in self.bp.cuts:
            box = self.cut_box(cut)
            if not box:
                continue
            data = self._data(order=str(cut.order), kind=cut.kind, stage=cut.stage)
            if cut.stage == "rough":
                done = cut.state == "done"
                self.page.add(Rect(*box, 0.4, 1.0 if done else 0.15, (), 0.0, "kerf", data))
            else:
                left, top, width, height = box
                if cut.kind == "crosscut":
                    self.page.add(
                        Line(left + width / 2, top, left + width / 2, top + height, 1.0, (1.2, 1.8), 0, "final-cut", data)
                    )
                else:
                    self.page.add(
                        Line(left, top + height / 2, left + width, top + height / 2, 1.0, (1.2, 1.8), 0, "final-cut", data)
                    )

    def _edges(self) -> None:
        outline = self.outline
        half = len(outline) // 2
        self.page.add(
            Polygon(outline[:half], 1.5, closed=False, role="far-edge"),
            Polygon(outline[half:], 1.5, closed=False, role="near-edge"),
        )
        for x, broken, top, bottom in (
            (self.left, self.row.broken_before, outline[0][1], outline[-1][1]),
            (self.right, self.row.broken_after, outline[half - 1][1], outline[half][1]),
        ):
            if broken:
                self.page.add(*broken_end(x, top, bottom))
            else:
                self.page.add(Line(x, top, x, bottom, 1.5, role="end"))
        if self.board.edges:
            self.page.add(Line(self.left, self.y(0), self.right, self.y(0), 0.8, (9, 2, 1.5, 2), role="snapped-line"))


def _corners(box: tuple[float, float, float, float]) -> tuple[Point, ...]:
    left, top, width, height = box
    return ((left, top), (left + width, top), (left + width, top + height), (left, top + height))


def _holds(blank: object, offcut: object) -> bool:
    b, o = blank, offcut
    return bool(b.x <= o.x < b.x + b.length and b.y <= o.y < b.y + b.width)  # type: ignore[attr-defined]
