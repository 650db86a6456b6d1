"""The drawings, read back from the written SVG with an XML library, say what the plan says."""

from __future__ import annotations

import itertools
import re
from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction as F
from xml.etree import ElementTree

import pytest
from made_up import made_up

from yieldopt.drawing.backends.svg import page_svg, write_svg
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.drawing.page.paper import A4, LETTER, PHONE
from yieldopt.drawing.page.primitives import Page, Text
from yieldopt.ground.lengths import parse_length
from yieldopt.wood.lumber import Board, Job
from yieldopt.wood.plan import BoardPlan, Plan

SVG = "{http://www.w3.org/2000/svg}"
# Coordinates are written to a thousandth of a point; at 1 : 60 that is under a thousandth of an inch of wood.
HAIR = 0.002
Span = tuple[float, float, float, float]


def sheets(job: Job, plan: Plan, paper: object = LETTER) -> Iterator[tuple[Board, BoardPlan, ElementTree.Element]]:
    packet = draw_packet(job, plan, paper, "2026-01-01")  # type: ignore[arg-type]
    for bp in plan.boards:
        yield job.board_named[bp.board], bp, ElementTree.fromstring(write_svg(packet.sheets[bp.board], "sheet"))


class Drawn:
    """What one sheet's drawing shows, back in inches of wood."""

    def __init__(self, root: ElementTree.Element) -> None:
        self.rows = {
            (p, r.get("data-row")): r for p, g in enumerate(root.findall(f"{SVG}g")) for r in g if r.get("class") == "row"
        }
        self.root = root

    def spans(self, role: str, key: str = "data-name", **where: str) -> dict[str, Span]:
        """(x0, y0, x1, y1) in inches of every rectangle of a role, the parts of it in several rows joined."""
        found: dict[str, list[Span]] = defaultdict(list)
        for p, group in enumerate(self.root.findall(f"{SVG}g")):
            for e in group:
                if e.get("class") == role and all(e.get(f"data-{k}") == v for k, v in where.items()):
                    found[e.get(key, "")].append(self.inches(e, self.rows[p, e.get("data-row")]))
        return {
            n: (min(s[0] for s in v), min(s[1] for s in v), max(s[2] for s in v), max(s[3] for s in v)) for n, v in found.items()
        }

    @staticmethod
    def inches(e: ElementTree.Element, row: ElementTree.Element) -> Span:
        points = 72 / int(row.get("data-scale", "0"))
        left, top = float(row.get("x", "")), float(row.get("y", ""))
        x, y, w, h = (float(e.get(k, "")) for k in ("x", "y", "width", "height"))
        x0 = float(row.get("data-start", "")) + (x - left) / points
        # Widths may be drawn larger than lengths.
        down = 72 / int(row.get("data-across", "0"))
        high = float(row.get("data-high", "")) - (y - top) / down
        return x0, high - h / down, x0 + w / points, high


def near(a: Span, b: tuple[object, object, object, object]) -> bool:
    return all(abs(u - float(v)) < HAIR for u, v in zip(a, b, strict=True))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("seed", "paper"), [(1, LETTER), (2, A4), (3, PHONE), (4, LETTER), (5, A4), (6, PHONE), (7, LETTER), (8, A4)]
)
def test_every_rectangle_drawn_is_the_plans(seed: int, paper: object) -> None:
    job, plan = made_up(seed, units="mm" if seed % 3 == 0 else "in", hostile=seed == 7)
    count = 0
    for _board, bp, root in sheets(job, plan, paper):
        drawn = Drawn(root)
        for role, things in (("blank", bp.blanks), ("piece", bp.pieces), ("offcut", bp.offcuts)):
            spans = drawn.spans(role)
            assert len(spans) == len(things)
            for o in things:
                name = getattr(o, {"blank": "blank", "piece": "piece", "offcut": "offcut"}[role])
                name = "".join(c for c in name if c.isprintable() or c in "\u202e\u200b")
                assert near(spans[name], (o.x, o.y, o.x + o.length, o.y + o.width)), (role, name)
                count += 1
        kerfs = drawn.spans("kerf", "data-order")
        for cut in bp.cuts:
            if cut.stage != "rough":
                continue
            along, across = (cut.at, cut.at + cut.kerf), (cut.start, cut.end)
            x, y = (along, across) if cut.kind == "crosscut" else (across, along)
            assert near(kerfs[str(cut.order)], (x[0], y[0], x[1], y[1])), cut
            count += 1
        # The finished part lies inside its rough piece and has its part's size.
        finished = drawn.spans("finished")
        for p in bp.pieces:
            if p.piece in finished:
                x0, y0, x1, y1 = finished[p.piece]
                part = job.part_named[p.part]
                assert abs(x1 - x0 - float(part.length)) < HAIR
                width = part.width if p.stave is None else p.width - 2 * job.shop.allowances.edge
                assert abs(y1 - y0 - float(width)) < HAIR
                assert x0 > float(p.x) - HAIR
                assert x1 < float(p.x + p.length) + HAIR
                assert y0 > float(p.y) - HAIR
                assert y1 < float(p.y + p.width) + HAIR
                count += 1
    assert count > 20


@pytest.mark.parametrize("seed", range(11, 17))
def test_running_dimensions_parse_back_to_the_cut(seed: int) -> None:
    units = "mm" if seed % 2 else "in"
    job, plan = made_up(seed, units=units)
    for board, bp, root in sheets(job, plan):
        at = {str(c.order): c.at for c in bp.cuts}
        shown: set[str] = set()
        for e in root.iter(f"{SVG}text"):
            if e.get("class") != "dimension":
                continue
            text = e.text or ""
            value = parse_length(text.lstrip("~"), job.units)
            if e.get("data-kind") == "length":
                expected = [board.length]
            else:
                orders = e.get("data-cuts", "").split("·")
                shown |= set(orders)
                expected = [at[o] for o in orders]
            # In inches exact, or to the nearest 1/64 where it lies between two; in metric to the nearest half millimetre, which
            # is what a tape has.
            assert "~" not in text or not e.get("data-cuts")
            for v in expected:
                grace = F(1, 4) * F(10, 254) + F(1, 10_000) if units == "mm" else F(0) if 64 % v.denominator == 0 else F(1, 128)
                assert abs(value - v) <= grace, (text, expected)
        crosscuts = {str(c.order) for c in bp.cuts if c.stage == "rough" and c.kind == "crosscut"}
        assert crosscuts <= shown


def test_defects_of_the_two_faces_are_drawn_where_they_are_and_differently() -> None:
    for seed in range(20, 26):
        job, plan = made_up(seed, boards=2)
        for board, _, root in sheets(job, plan):
            rows = Drawn(root)
            drawn = []
            for p, group in enumerate(root.findall(f"{SVG}g")):
                drawn += [(e, rows.inches(e, rows.rows[p, e.get("data-row")])) for e in group if e.get("class") == "defect"]
            assert bool(drawn) == bool(board.defects)
            for d in board.defects:
                mine = [
                    e
                    for e, s in drawn
                    if e.get("data-kind") == d.kind
                    and abs(s[1] - float(d.y)) < HAIR
                    and s[0] >= float(d.x) - HAIR
                    and s[2] <= float(d.x + d.length) + HAIR
                ]
                assert mine
                assert all(
                    e.get("data-face") == d.seen_on and bool(e.get("stroke-dasharray")) == (d.seen_on == "B") for e in mine
                )


def test_scale_stated_is_the_scale_drawn() -> None:
    job, plan = made_up(30)
    for board, _, root in sheets(job, plan):
        rows = [e for e in root.iter(f"{SVG}rect") if e.get("class") == "row"]
        captions = [e.text or "" for e in root.iter(f"{SVG}text") if e.get("class") == "caption"]
        assert rows
        assert len(rows) == len(captions)
        for row, caption in zip(rows, captions, strict=True):
            points = float(row.get("width", "")) / (float(row.get("data-end", "")) - float(row.get("data-start", "")))
            tall = max(p.far for p in board.outline) - min(p.near for p in board.outline)
            down = float(row.get("height", "")) / float(tall)
            said = re.findall(r"1 : (\d+)", caption)
            assert ("widths 1 : " in caption) == (len(said) == 2) == (abs(points - down) > 1e-3)
            assert points == pytest.approx(72 / int(said[0]), rel=1e-4)
            assert down == pytest.approx(72 / int(said[-1]), rel=1e-4)


def _views(e: ElementTree.Element) -> list[str]:
    """The blanks that an end view is drawn for: those that look alike are drawn once."""
    return [e.get("data-name", ""), *(e.get("data-also") or "").split()]


def test_end_views_show_layers_and_saw_lines_at_their_depths() -> None:
    seen = 0
    for seed in range(6):
        job, plan = made_up(seed, boards=2)
        for _, bp, root in sheets(job, plan):
            for blank in bp.blanks:
                mine = [e for e in root.iter(f"{SVG}rect") if e.get("data-band") and blank.blank in _views(e)]
                assert bool(mine) == (blank.layers > 1)
                layers = [e for e in mine if (e.get("data-band") or "").startswith("layer")]
                thick = [float(e.get("data-to", "")) - float(e.get("data-from", "")) for e in layers]
                assert thick == pytest.approx([float(t) for t in blank.thicknesses] if mine else [])
                depths = [float(e.get("data-from", "")) for e in mine if e.get("data-band") == "saw"]
                assert depths == pytest.approx(
                    sorted(float(c.at) for c in bp.cuts if c.stage == "resaw" and c.blank == blank.blank)
                )
                # To scale: bands follow each other without gap or overlap, and heights are in proportion.
                tops = [
                    (
                        float(e.get("y", "")),
                        float(e.get("height", "")),
                        float(e.get("data-to", "")) - float(e.get("data-from", "")),
                    )
                    for e in mine
                ]
                for (y, h, t), (y2, h2, t2) in itertools.pairwise(tops):
                    assert y + h == pytest.approx(y2, abs=0.9)
                    if t > 0.1 and t2 > 0.1:
                        assert h / t == pytest.approx(h2 / t2, rel=1e-2)
                seen += len(layers)
    assert seen > 5


@pytest.mark.parametrize(
    ("text", "held"),
    [("26 × 4 9/16 · △ ~1/4", False), ("rail#1", False), ("\u05d0\u05d1 12", True), ("\u0661 2", True), ("\u202eab", True)],
)
def test_lettering_that_a_reader_could_reorder_is_held_in_its_order(text: str, held: bool) -> None:
    page = Page(200, 100, "x", "sheet", [Text(10, 20, text), Text(10, 40, text, 12)])
    for root in (ElementTree.fromstring(write_svg([page], "x")), ElementTree.fromstring(page_svg(page))):
        lines = [e for e in root.iter() if e.tag.endswith("text")]
        assert [e.text for e in lines] == [text, text]
        assert all((e.get("unicode-bidi") == "bidi-override" and e.get("direction") == "ltr") == held for e in lines)
        group = next(e for e in root.iter() if e.get("class") == "page")
        assert [float(e.get("font-size", group.get("font-size", ""))) for e in lines] == [9, 12]
