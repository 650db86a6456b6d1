"""What particular pages say."""

from __future__ import annotations

import re
import time
from dataclasses import replace
from fractions import Fraction as F

import pytest
from made_up import KINDS, made_up
from printed_order import names

from yieldopt.drawing.board.boardsheet import board_sheet
from yieldopt.drawing.board.rings import is_leg
from yieldopt.drawing.board.rowdims import levels_of
from yieldopt.drawing.charts.charts import SHARES, draw_wood
from yieldopt.drawing.packet.packet import SECTIONS, draw_packet
from yieldopt.drawing.packet.today import printed_date
from yieldopt.drawing.page.lettering import box_of
from yieldopt.drawing.page.marks import joint_letter
from yieldopt.drawing.page.paper import LETTER, PHONE
from yieldopt.drawing.page.primitives import Page, Polygon, Squares
from yieldopt.drawing.setting import setting_for
from yieldopt.drawing.words.cautions import board_cautions
from yieldopt.insight.leftovers import WoodAccount
from yieldopt.records.sections import History, Moment
from yieldopt.trade.readings import glue_up_warnings
from yieldopt.wood.plan import Plan


def _texts(pages: list[Page], kind: str) -> str:
    return " ".join(t.text for p in pages if p.kind == kind for t in p.texts())


def test_the_packet_holds_every_kind_of_page_and_tick_boxes() -> None:
    job, plan = made_up(4)
    pages = draw_packet(job, plan, sections=tuple(SECTIONS)).pages
    assert {p.kind for p in pages} >= {"cover", "wall", "figures", "sheet", "milling", "second", "charts", "labels"}
    milling = [p for p in pages if p.kind == "milling"]
    assert sum(1 for p in milling for m in p.marks if getattr(m, "role", "") == "tick") > 20
    text = _texts(pages, "milling")
    for words in (
        "Rough crosscuts",
        "Rest",
        "hollow face goes down",
        "Stress test",
        "thickest first",
        "test piece",
        "stop setting",
        "begun ____",
    ):
        assert words in text


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        ("7; 7.5", []),
        ("7; 11", ["points apart, more than 2", "outside the 6 to 8 %"]),
        ("damp", ["moisture reading 'damp' is not a percentage"]),
    ],
)
def test_moisture_readings_against_a_glue_up_stand_on_the_cover_and_at_the_glue_up(reading: str, said: list[str]) -> None:
    job, plan = next(
        (job, plan) for job, plan in map(made_up, range(40)) if any(p.stave is not None for _, p in plan.pieces()) and plan.boards
    )
    job = replace(job, boards=tuple(replace(b, notes={**b.notes, "moisture": reading}) for b in job.boards))
    pieces = {p.set for _, p in plan.pieces() if p.stave is not None}
    warnings = glue_up_warnings(plan, job.boards)
    assert set(warnings) == (pieces if said else set())
    for paper in (LETTER, PHONE):
        pages = draw_packet(job, plan, paper).pages
        for kind in ("cover", "milling"):
            words = "".join(
                t.text.replace(" ", "") for p in pages if p.kind == kind for t in p.texts() if t.role == "caution-text"
            )
            assert ("MOISTURE:gluing" in words) == bool(said)
            for text in said:
                assert text.replace(" ", "") in words
            for piece, found in warnings.items():
                assert piece is not None
                assert piece.replace(" ", "") in words
                assert all(str(w).replace(" ", "") in words for w in found)


def test_sheets_name_saws_datum_face_and_what_nobody_has_seen() -> None:
    job, plan = made_up(4)
    text = _texts(draw_packet(job, plan).pages, "sheet")
    for words in (
        "FACE A UP",
        "DATUM END",
        "far end",
        "bandsaw",
        "crosscut saw",
        "OPEN AND LOOK",
        "Stress",
        "end trim",
        "near edge",
    ):
        assert words in text


def told(line: str) -> list[str]:
    """The blanks of a caution in full: `NARROW: B-a, -b (2 wide), C-d (1 wide). Push ...`."""
    return names(re.sub(r" (\([^)]*\)|is resawn)", "", line.partition(": ")[2].partition(". ")[0]))


def test_cautions_name_the_blank_they_are_about() -> None:
    found = set()
    for seed in range(12):
        job, plan = made_up(seed, boards=3)
        s = setting_for(job, plan, LETTER, "d")
        for bp in plan.boards:
            board = job.board_named[bp.board]
            lines = board_cautions(board, bp, s)
            found |= {line.split(":")[0].split(" by ")[0] for line in lines}
            for b in bp.blanks:
                narrow = [line for line in lines if line.startswith("NARROW")]
                assert any(b.blank in told(line) for line in narrow) == (b.width < 3)
                stress = [line for line in lines if line.startswith("STRESS NOT KNOWN")]
                assert any(b.blank in told(line) for line in stress) == (b.layers > 1 and board.stress != "tested")
    assert {"NARROW", "THIN", "STRESS NOT KNOWN", "CASE-HARDENED", "SHORT PIECES", "CROOKED", "BOWED OR TWISTED"} <= found
    assert "PLANED FAR" in found


def test_layers_under_bare_thickness_go_on_a_carrier_board() -> None:
    """The job's own limit decides (the default, 1/2: a planer's maker, https://woodweb.com/knowledge_base/Planing_Short_Thin_Stock.html)."""
    for seed in range(6):
        made, plan = made_up(seed, boards=2)
        for limit in (F(0), F(1, 2), F(2)):
            shop = replace(made.shop, machines=replace(made.shop.machines, bare_thickness=limit))
            s = setting_for(replace(made, shop=shop), plan, LETTER, "d")
            for bp in plan.boards:
                lines = [line for line in board_cautions(s.job.board_named[bp.board], bp, s) if line.startswith("THIN")]
                assert all("carrier board only" in line and "never bare" in line for line in lines)
                named = {blank for line in lines for blank in told(line)}
                assert {b.blank for b in bp.blanks if min(b.thicknesses) < limit} == named


def test_done_cuts_and_pieces_and_spoiled_ones_are_marked() -> None:
    from yieldopt.wood.plan import Spoiled

    job, plan = made_up(4)
    first = plan.boards[0]
    lost = Spoiled("lost#1", F(2), F(0), F(10), F(1))
    bp = replace(
        first,
        cuts=tuple(replace(c, state="done") for c in first.cuts),
        pieces=tuple(replace(p, state="done") for p in first.pieces),
        spoiled=(lost,),
    )
    page = draw_packet(job, replace(plan, boards=(bp, *plan.boards[1:]))).sheets[first.board]
    roles = [getattr(m, "role", "") for p in page for m in p.marks]
    assert "done" in roles
    assert "spoiled" in roles
    assert "✓done" in _texts(page, "sheet")


def test_history_is_charted_only_where_the_plan_has_one() -> None:
    job, plan = made_up(1, boards=1)

    def headed(plan: Plan) -> bool:
        return "against time of search" in _texts(draw_packet(job, plan, sections=("charts",)).pages, "charts")

    assert not headed(plan)
    assert headed(plan.saying(History((Moment(0.1, 90.0, 40.0), Moment(2.0, 80.0), Moment(9.0, 78.5, 71.0)))))
    assert not headed(plan.saying(History((Moment(0.1, 90.0, 40.0),))))


def test_bars_of_the_wood_chart_are_as_long_as_the_wood() -> None:
    from matplotlib.figure import Figure

    account = WoodAccount("B", *(F(144 * n) for n in range(1, 8)))
    axes = Figure().add_subplot()
    draw_wood(axes, [account], "in")
    lengths = [c.get_paths()[0].get_extents().width for c in axes.collections]
    assert lengths == pytest.approx([float(getattr(account, name)) / 144 for name, *_ in SHARES])


def test_charts_are_strokes_on_the_page() -> None:
    job, plan = made_up(1, boards=2)
    pages = [p for p in draw_packet(job, plan, sections=("charts",)).pages if p.kind == "charts"]
    strokes = [m for p in pages for m in p.marks if isinstance(m, Polygon) and m.role == "chart"]
    assert len(strokes) > 20
    for p in pages:
        for m in p.marks:
            if isinstance(m, Polygon):
                assert all(-1 <= x <= p.width + 1 and -1 <= y <= p.height + 1 for x, y in m.points)


def test_marks_stand_above_those_whose_lines_would_cross_them() -> None:
    assert levels_of([(0, 50), (100, 50)]) == [0, 0]
    assert levels_of([(0, 50), (20, 50), (40, 50)]) == [2, 1, 0]
    assert levels_of([]) == []


def test_the_date_can_be_fixed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    assert printed_date() == "1970-01-02"
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "nonsense")
    assert printed_date() == time.strftime("%Y-%m-%d")


def test_every_piece_blank_and_offcut_is_lettered_in_the_drawing_and_numbered_as_in_the_list() -> None:
    """Names that find no room are few, and named under the drawing; each ringed number is its part's line of the list."""
    lettered = listed = 0
    for seed in range(8):
        job, plan = made_up(seed, boards=3)
        packet = draw_packet(job, plan)
        numbers = {p.name: str(n) for n, p in enumerate(job.parts, 1)}
        assert packet.setting.part_numbers == {p.name: n for n, p in enumerate(job.parts, 1)}
        for bp in plan.boards:
            texts = [t for p in packet.sheets[bp.board] for t in p.texts()]
            under = " ".join(t.text for t in texts if not t.role)
            crowded = under.partition("No room in the drawing, see the lists: ")[2]
            in_drawing = [t for t in texts if t.role in ("blank-name", "piece-name", "callout")]
            words = {t.text for t in in_drawing}
            rings = {t.text for t in texts if t.role == "part-number"}
            for p in bp.pieces:
                assert numbers[p.part] in rings
                suffix = p.piece.removeprefix(p.part)
                named = any(p.piece in w or w in (suffix, suffix + "✓") or w.endswith("…") for w in words)
                assert named or p.piece in crowded, (seed, bp.board, p.piece)
                lettered, listed = lettered + named, listed + (not named)
            for b in bp.blanks:
                assert any(b.blank in w or w == b.blank.removeprefix(bp.board) for w in words) or b.blank in crowded
    # On one side of paper, some pieces in blanks of many stand in the list alone; their blank and the cuts are always named.
    assert lettered > 15 * listed


def test_legs_say_how_the_rings_should_lie() -> None:
    job, plan = made_up(4)
    square = next(p for p in job.parts if any(q.part == p.name for _, q in plan.pieces()))
    board = next(bp.board for bp, q in plan.pieces() if q.part == square.name)
    for logged, words in (("45", "as it should be"), ("10", "1.4 times"), ("", ""), ("steep", "")):
        some = replace(
            job,
            parts=tuple(replace(p, notes={"rings": "30-60"}) if p is square else p for p in job.parts),
            boards=tuple(replace(b, notes={"rings": logged}) if b.name == board else b for b in job.boards),
        )
        page = draw_packet(some, plan).sheets[board]
        text = " ".join(t.text for p in page for t in p.texts())
        assert "Rings on the end" in text
        assert "corner to corner" in text
        assert words in text
        assert any(getattr(m, "role", "") == "growth-ring" for p in page for m in p.marks)
    part = replace(square, notes={}, thickness=F(7, 4), width=F(2))
    assert is_leg(part)
    assert not is_leg(replace(part, width=F(3)))
    assert not is_leg(replace(part, thickness=F(3, 4), width=F(3, 4)))


def test_resawn_sheets_give_the_break_even_minutes_and_letters_for_pairs() -> None:
    seen = 0
    for seed in range(6):
        job, plan = made_up(seed, boards=3)
        packet = draw_packet(job, plan, sections=("sheets", "figures"))
        figures = packet.pages
        for bp in plan.boards:
            page = packet.sheets[bp.board]
            text = " ".join(t.text for p in page for t in p.texts())
            layered = [b for b in bp.blanks if b.layers > 1]
            assert "against labour" not in text
            said = _texts(figures, "figures")
            assert all(b.blank in said for b in layered)
            assert ("Wood against labour" in said) or not layered
            assert ("Step 1." in text) == bool(layered)
            pairs = [b for b in layered if any(p.show == "sawn" for p in bp.pieces if p.blank == b.blank)]
            letters = [t for p in page for t in p.texts() if t.role == "joint-letter"]
            # Ends that are alike are drawn once.
            drawn = {dict(m.data)["name"] for p in page for m in p.marks if getattr(m, "role", "") == "layer"}
            assert len(letters) >= 2 * len([b for b in pairs if b.blank in drawn])
            also = "\n".join(dict(m.data)["also"] for p in page for m in p.marks if getattr(m, "role", "") == "layer")
            assert {b.blank for b in layered} == drawn | set(also.split("\n")) - {""}
            seen += len(pairs)
    assert seen


def test_joint_letters_leave_out_what_reads_as_a_figure() -> None:
    made = [joint_letter(n) for n in range(1, 60)]
    assert made[:3] == ["A", "B", "C"]
    assert len(set(made)) == 59
    assert not any(c in "IO" for name in made for c in name)


def test_a_replanned_sheet_says_what_to_do_with_the_old_lines() -> None:
    job, plan = made_up(1, boards=1)
    assert "strike out with a zigzag" not in _texts(draw_packet(job, plan).pages, "sheet")
    assert "strike out with a zigzag" in _texts(draw_packet(job, replace(plan, revision=2)).pages, "sheet")


def test_missing_parts_are_told_as_wood_to_find() -> None:
    from yieldopt.sizes.sizing import rough_length, thickness_need

    job, plan = made_up(8, missing=True)
    part = job.part_named[plan.unplaced[0].part]
    s = setting_for(job, plan, LETTER, "d")
    text = _texts(draw_packet(job, plan).pages, "cover")
    assert s.main(rough_length(part, job.shop)) in text
    assert f"{s.main(thickness_need((part.thickness,), True, job.shop))} thick" in text


def test_labels_show_which_way_up_they_are() -> None:
    """The line under the name: a 6 turned over is a 9."""
    job, plan = made_up(1)
    pages = [p for p in draw_packet(job, plan, sections=("labels",)).pages if p.kind == "labels"]
    under = [m for p in pages for m in p.marks if getattr(m, "role", "") == "way-up"]
    assert len(under) == sum(1 for p in pages for m in p.marks if getattr(m, "role", "") == "label")


def test_known_feed_is_printed_with_its_arrow() -> None:
    job, plan = made_up(1, boards=1)
    for feed, arrow in (("toward far", "→"), ("toward datum", "←")):
        fed = replace(job, boards=tuple(replace(b, notes={"feed": feed}) for b in job.boards))
        assert f"{arrow} {feed}" in _texts(draw_packet(fed, plan).pages, "sheet")


def test_the_code_of_a_sheet_stands_in_its_first_corner_clear_of_all_lettering() -> None:
    for seed in range(4):
        job, plan = made_up(seed, hostile=seed == 3)
        for pages in draw_packet(job, plan).sheets.values():
            codes = [(n, m) for n, p in enumerate(pages) for m in p.marks if isinstance(m, Squares)]
            assert [n for n, _ in codes] == [0]
            code = codes[0][1]
            side = code.side * (1 + max(c for c, _ in code.cells))
            right, bottom = code.x + side + 4 * code.side, code.y + side
            assert right <= pages[0].width
            for t in pages[0].texts():
                x0, y0, x1, y1 = box_of(t)
                # Four modules of quiet zone at the left and right (ISO/IEC 18004).
                assert x1 <= code.x - 4 * code.side or x0 >= right or y1 <= code.y or y0 >= bottom, t.text


def test_second_choices_lie_on_marks_of_the_tape_where_they_can() -> None:
    from yieldopt.insight.second_choice import choices_of

    job, plan = made_up(3, boards=6)
    found = [c for cs in choices_of(job, plan).values() for c in cs]
    assert found
    assert sum((16 * c.x).denominator == (16 * c.y).denominator == 1 for c in found) >= 0.9 * len(found)


# Cuts and pieces of one board, each a line of a list, of which two sides hold all.
FULL = 45


def _sides(kind: str, seed: int) -> None:
    """No board takes more than two sides of paper, up to one so full that its lists alone fill them."""
    job, plan = made_up(seed, boards=2, kind=KINDS[kind], missing=seed % 2 == 0)
    s = setting_for(job, plan, LETTER, "2026-01-01")
    for bp in plan.boards:
        sides = len(board_sheet(s, bp))
        assert sides <= (2 if len(bp.cuts) + len(bp.pieces) <= FULL else 4), (bp.board, len(bp.cuts), len(bp.pieces))


@pytest.mark.parametrize("kind", KINDS)
def test_no_board_takes_more_than_two_sides(kind: str) -> None:
    _sides(kind, 1)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(2, 22))
@pytest.mark.parametrize("kind", KINDS)
def test_no_board_of_many_takes_more_than_two_sides(kind: str, seed: int) -> None:
    _sides(kind, seed)


def test_an_incomplete_plan_names_what_is_missing_on_page_one_and_is_told_on_every_other() -> None:
    job, plan = made_up(8, missing=True)
    packet = draw_packet(job, plan)
    name = plan.unplaced[0].part
    first, *rest = packet.pages
    assert any("Missing" in t.text and name in t.text for t in first.texts() if t.role == "banner-text")
    for page in rest:
        said = " ".join(t.text for t in page.texts() if t.role == "banner-text")
        assert said == "INCOMPLETE PLAN: 1 part has no place (page 1 names them). Don't cut before that is settled."
