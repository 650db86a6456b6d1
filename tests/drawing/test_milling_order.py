"""The milling order followed with a saw, and what its steps say and in which order."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import HealthCheck, given, settings
from layouts import layout
from made_up import made_up
from printed_order import HAIR, PICTURES, Step, Wood, cuts, named, names, saw, steps
from stranger import ReadBoard, boards_in, svg_words
from strategies import jobs

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.drawing.backends.svg import write_svg
from yieldopt.drawing.board.boardsheet import board_sheet
from yieldopt.drawing.board.sheetlists import cut_reach
from yieldopt.drawing.milling.milling import milling_pages
from yieldopt.drawing.page.paper import LETTER
from yieldopt.drawing.setting import setting_for
from yieldopt.drawing.words.cautions import board_cautions
from yieldopt.insight.milling_order import hollow_face
from yieldopt.planning import plan_job
from yieldopt.reading.job import read_job
from yieldopt.wood.lumber import Board, EdgePoint, Job
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Plan, Totals


def printed(job: Job, plan: Plan) -> list[Step]:
    return steps(milling_pages(setting_for(job, plan, LETTER, "d")))


def sheets(job: Job, plan: Plan) -> dict[str, ReadBoard]:
    """What the board's sheets say in words."""
    s = setting_for(job, plan, LETTER, "d")
    return {bp.board: boards_in(svg_words(write_svg(board_sheet(s, bp), "")))[bp.board] for bp in plan.boards}


def sawn(job: Job, plan: Plan, found: list[Step]) -> dict[str, list[Wood]]:
    """Every board, cut as the list says from the first step to the last: board -> what lies on the bench then."""
    boards = {bp.board: job.board_named[bp.board] for bp in plan.boards}
    bench = {
        name: [Wood(F(0), min(p.near for p in b.outline), b.length, max(p.far for p in b.outline))] for name, b in boards.items()
    }
    last = dict.fromkeys(bench, 0)
    figures = sheets(job, plan)
    for step in found:
        kind = "crosscut" if "Rough crosscuts" in step.title else "rip" if "Rough rips" in step.title else ""
        for board, text in step.rows if kind else ():
            for cut in cuts(text, figures[board], job.units):
                assert cut.order > last[board], f"{board}: cut {cut.order} after {last[board]}"
                last[board] = cut.order
                bench[board] = saw(bench[board], kind, cut, job.shop.kerf.crosscut if kind == "crosscut" else job.shop.kerf.rip)
    return bench


def assert_ends_with_the_blanks(job: Job, plan: Plan, found: list[Step]) -> None:
    for name, pieces in sawn(job, plan, found).items():
        bp = next(b for b in plan.boards if b.board == name)
        rough = [o for o in bp.offcuts if o.kept and not any(_inside(o, b) for b in bp.blanks)]
        taken = []
        for wanted in (*bp.blanks, *rough):
            holding = [w for w in pieces if _holds(w, wanted)]
            assert len(holding) == 1, f"{name}: {wanted} lies in {holding} of {pieces}"
            taken.append(holding[0])
            # Crosscuts part a blank exactly, up to less than a kerf; beside it only what is not worth a rip stays on. A kept
            # offcut may keep the board's own end, which is trimmed when it is used.
            assert wanted in rough or holding[0].x1 - holding[0].x0 - wanted.length < 1, f"{name}: {wanted} in {holding[0]}"
        assert len(set(map(id, taken))) == len(taken), f"{name}: two blanks left in one piece"


def _inside(o, b) -> bool:
    return b.x <= o.x < b.x + b.length and b.y <= o.y < b.y + b.width


def _holds(w: Wood, o) -> bool:
    """Whether a piece of wood holds a blank, a hair's breadth allowed for printed figures."""
    grown = Wood(w.x0 - HAIR, w.y0 - HAIR, w.x1 + HAIR, w.y1 + HAIR)
    return grown.holds(o.x, o.y, o.length, o.width)


def test_a_crosscut_as_long_as_the_shorter_side_of_its_kerf_goes_right_across() -> None:
    """On an edge that runs askew the wood is longer on one side of the kerf than on the other. A plan that was made elsewhere
    may write the shorter line, which the check takes as a cut from edge to edge; the sheet said how far to saw, a hair short
    of the edge."""
    edges = (EdgePoint(F(0), F(0), F(12)), EdgePoint(F(20), F(5), F(12)))
    board = Board("B", "ash", "4/4", F(1), F(20), F(12), F(1), edges=edges)
    near, far = board.channel(F(10), F(81, 8))
    assert near - board.channel(F(10), F(10))[0] > HAIR
    cut = Cut(1, "rough", "crosscut", F(10), near, far, F(1, 8))
    job = Job("askew", "in", (), (board,))
    bp = BoardPlan("B", F(0), F(0), (cut,), (), (), ())
    s = setting_for(job, Plan("askew", "in", (bp,), (), Totals(0.0, None, None, 0.0, 1, 0.0)), LETTER, "d")
    assert cut_reach(cut, board, bp, s) == "full width"
    assert cut_reach(replace(cut, end=far - F(1, 32)), board, bp, s) != "full width"


@given(job=jobs())
@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
def test_sawing_the_boards_of_drawn_jobs_in_the_printed_order(job: Job) -> None:
    job = replace(job, boards=tuple(replace(b, name=f"B{n}") for n, b in enumerate(job.boards)), leave=frozenset(), pins=())
    job = replace(job, parts=tuple(replace(p, name=f"part{n}", sources=()) for n, p in enumerate(job.parts)))
    plan = layout(job)
    if plan.boards:
        assert_ends_with_the_blanks(job, plan, printed(job, plan))


@pytest.mark.parametrize("seed", range(20))
def test_sawing_each_board_in_the_printed_order_leaves_the_planned_blanks(seed: int) -> None:
    job, plan = made_up(seed, boards=3)
    if plan.boards:
        assert_ends_with_the_blanks(job, plan, printed(job, plan))


def test_sawing_the_demo_shops_boards_in_the_printed_order() -> None:
    job = read_job(inventory() / MAIN_JOB)
    plan = plan_job(job, seconds=60, steps=1).plan
    found = printed(job, plan)
    assert_ends_with_the_blanks(job, plan, found)
    # The list in one batch of crosscuts, as it once was, severs strips: the saw must not accept it.
    late = [s for s in found if s.title.endswith("what the rips left")]
    assert late
    first = next(s for s in found if s.title.endswith("Rough crosscuts"))
    muddled = [
        replace(s, rows=[*s.rows, *(row for step in late for row in step.rows)]) if s is first else s
        for s in found
        if s not in late
    ]
    with pytest.raises(AssertionError):
        sawn(job, plan, muddled)


def _made(seed: int, **work: F) -> tuple[Job, Plan, list[Step]]:
    job, plan = made_up(seed, boards=3)
    job = replace(job, shop=replace(job.shop, work=replace(job.shop.work, **work)))
    return job, plan, printed(job, plan)


def _step(found: list[Step], words: str) -> tuple[int, Step]:
    return next((i, s) for i, s in enumerate(found) if words in s.title)


SEEDS = range(12)


@pytest.mark.parametrize("seed", SEEDS)
def test_staves_are_glued_long_and_the_panel_is_brought_to_its_size_afterwards(seed: int) -> None:
    """An edge-glued panel is trimmed after gluing: a stave cut to length first leaves
    nothing to trim (common practice, no source)."""
    job, plan, found = _made(seed)
    staves = {p.piece for _, p in plan.pieces() if p.stave is not None}
    single = [p.piece for _, p in plan.pieces() if p.stave is None]
    sized = [row for s in found if "Single parts" in s.title or "from a longer one" in s.title for row in s.rows]
    words = " ".join(text for _, text in sized)
    assert not re.search(r"#\d+/\d", words)
    for which in ("parts to width",), ("parts to length", "from a longer one"):
        rows = " ".join(t for s in found if any(w in s.title for w in which) for _, t in s.rows)
        assert all(named(name, rows) for name in single), which
    if not staves:
        return
    glue, _ = _step(found, "glue up")
    after, _ = _step(found, "Panels: flatten, then width, then length")
    assert after == glue + 1 == len(found) - 1
    assert "Joint the mating edges" in found[glue].title
    setting = setting_for(job, plan, LETTER, "d")
    texts = [t for page in milling_pages(setting) for t in page.texts()]
    pictures = " ".join(t.text for t in texts[[t.text for t in texts].index(PICTURES) :])
    for name in {p.rsplit("/", 1)[0] for p in staves}:
        part = job.part_named[name.rsplit("#", 1)[0]]
        (said,) = re.findall(re.escape(f"△ {name}:") + r".*?; then (.*?) wide, then (.*?) long\.", pictures)
        assert said == (setting.main(part.width), setting.main(part.length))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_stress_test_comes_first_and_the_rest_before_the_last_flattening(seed: int) -> None:
    """Test before committing (https://rpwoodwork.com/blog/2008/11/07/more-on-resawing); leave 1/8, rest, mill again
    (https://www.motherearthnews.com/diy/crafting/mill-rough-lumber-ze0z10zvau)."""
    _, plan, found = _made(seed, rest_days=F(5), resaw_rest_days=F(21), test_hours=F(36), rest_over=F(3, 16))
    blanks = [b for bp in plan.boards for b in bp.blanks]
    if not blanks:
        return
    resawn = any(b.layers > 1 for b in blanks)
    titles = [s.title.split(". ", 1)[1] for s in found]
    order = ["First milling", *(["Resaw"] if resawn else []), "Rest", "Flatten again", "Plane to thickness"]
    places = [next(i for i, t in enumerate(titles) if t.startswith(word)) for word in order]
    assert places == list(range(places[0], places[0] + len(order)))
    assert titles[0].startswith("Stress test") == resawn
    assert "3/16 (4.8 mm) over" in titles[places[0]]
    rest = " ".join([found[places[-3]].words, *(" ".join(r) for r in found[places[-3]].rows)])
    assert ("about 5 days" in rest) == any(b.layers == 1 for b in blanks)
    assert ("about 21 days" in rest) == resawn
    assert "both faces about equally" in found[places[-1]].words
    assert "Snipe" in found[places[-1]].words
    assert "runners" in found[places[-1]].words
    if resawn:
        assert "again after 36 hours" in found[0].words
        assert "at least 12 in" in found[0].words
        assert "Stress along the board" in found[0].words
        again = {text for _, text in found[places[-2]].rows}
        assert any("outside face A" in text for text in again)
        assert any("outside face B" in text for text in again)


@pytest.mark.parametrize("seed", SEEDS)
def test_thin_layers_never_go_over_the_jointer(seed: int) -> None:
    """A jointer's manual refuses less than 1/2 in (the source is beside `bare_thickness` in docs/reference/defaults.md)."""
    _, plan, found = _made(seed)
    if not any(bp.blanks for bp in plan.boards):
        return
    _, again = _step(found, "Flatten again")
    for bp in plan.boards:
        for b in bp.blanks:
            for n, thick in enumerate(b.thicknesses, 1):
                name = b.blank if b.layers == 1 else f"{b.blank} layer {n}"
                listed = {h for h, text in again.rows if name in names(text.partition(": ")[2])}
                (how,) = listed or {h for h, text in again.rows if re.search(": all (others|blanks)$", text)}
                assert (how == "carrier board") == (thick < F(1, 2)), (name, how)
    assert ("shims under the hollow" in again.words) == any(
        t < F(1, 2) for bp in plan.boards for b in bp.blanks for t in b.thicknesses
    )


def test_the_hollow_face_and_edge_are_named_where_somebody_has_noted_them() -> None:
    job, plan = made_up(4)
    lies = [{"bow": F(1, 4), "bow_hollow": "B"}, {"cup": F(1, 8), "cup_hollow": "A"}, {"crook": F(1, 8), "crook_hollow": "far"}]
    plain = {"bow": F(0), "cup": F(0), "crook": F(0)}
    boards = tuple(replace(b, **{**plain, **lies[n % 3]}) for n, b in enumerate(job.boards))
    job = replace(job, boards=boards)
    _, milling = _step(printed(job, plan), "First milling")
    assert "on its hollow face it rests on its ends or its edges" in milling.words
    assert "Where nothing else stands: hollow face down on the jointer, hollow edge to the fence." in milling.words
    for bp in plan.boards:
        board = job.board_named[bp.board]
        face = "face B down" if board.bow else "face A down" if board.cup else ""
        for b in bp.blanks:
            (text,) = [text for some, text in milling.rows if b.blank in names(some)]
            assert face in text
            assert ("far" in text) == bool(board.crook)
            assert ("face" in text.partition("other face")[0]) == bool(face)


def test_bow_one_way_and_cup_the_other_the_deeper_hollow_goes_down() -> None:
    board = Board("B", "ash", "4/4", F(1), F(80), F(8), F(1), bow=F(1, 2), cup=F(1, 16), bow_hollow="A", cup_hollow="B")
    long = Blank("B-a", F(0), F(0), F(60), F(8), 1, (F(3, 4),), ())
    assert hollow_face(board, long) == "A"
    # 1/2 x (20/80)^2 = 1/32 of bow, 1/16 of cup.
    assert hollow_face(board, replace(long, length=F(20))) == "B"
    assert hollow_face(replace(board, cup_hollow=""), replace(long, length=F(20))) == ""
    assert hollow_face(replace(board, bow=F(0), cup=F(0)), long) == ""


@pytest.mark.parametrize("seed", SEEDS)
def test_pieces_below_the_saws_least_are_not_cut_at_its_stop(seed: int) -> None:
    """6 in: a saw's manual (https://manualsdump.com/amp/en/manuals/273908/23)."""
    job, plan, found = _made(seed, least_crosscut=F(9))
    short = {p.piece for _, p in plan.pieces() if p.stave is None and job.part_named[p.part].length < 9}
    stops = " ".join(t for s in found if "one stop setting" in s.title for _, t in s.rows)
    assert not [piece for piece in short if named(piece, stops)]
    if not short:
        assert not [s for s in found if "from a longer one" in s.title]
        return
    _, apart = _step(found, "cut from a longer one")
    for words in ("Don't hold a short piece to a power saw", "stop block", "clamped on a sled", "hand saw"):
        assert words in apart.words
    assert all(any(named(name, text) for _, text in apart.rows) for name in short)


def test_stock_planed_far_carries_a_caution_about_stress_and_tested_stock_none() -> None:
    job, plan = made_up(4)
    bp = next(b for b in plan.boards if any(k.layers == 1 for k in b.blanks))
    thick = next(k for k in bp.blanks if k.layers == 1)
    for stress, off, warned in (("unknown", F(5, 4), True), ("unknown", F(1, 4), False), ("tested", F(5, 4), False)):
        board = replace(job.board_named[bp.board], stress=stress, thickness=thick.thicknesses[0] + off)
        again = replace(job, boards=tuple(board if b.name == board.name else b for b in job.boards))
        lines = board_cautions(board, bp, setting_for(again, plan, LETTER, "d"))
        assert any(line.startswith("PLANED FAR") and thick.blank in line for line in lines) == warned


def test_book_pairs_are_said_to_feed_opposite_ways() -> None:
    for seed in SEEDS:
        job, plan, found = _made(seed)
        book = {p.blank for _, p in plan.pieces() if job.part_named[p.part].match_kind == "book"}
        planing = [s for s in found if "Plane to thickness" in s.title]
        assert all(("opposite directions" in s.words) == bool(book) for s in planing)
        for bp in plan.boards:
            lines = board_cautions(job.board_named[bp.board], bp, setting_for(job, plan, LETTER, "d"))
            said = [x for x in lines if x.startswith("BOOK PAIR")]
            assert all(any(b.blank in x for x in said) == (b.blank in book) for b in bp.blanks)
        texts = [t.text for page in milling_pages(setting_for(job, plan, LETTER, "d")) for t in page.texts()]
        pictures = " ".join(texts[texts.index(PICTURES) :] if PICTURES in texts else [])
        assert ("opposite directions" in pictures) == bool(book)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_line_is_marked_from_the_end_that_is_there_when_the_tape_is_hooked(seed: int) -> None:
    """All lines are chalked before the first cut, and the first cut of a board takes its datum end away: no figure may count
    from an end that a cut made."""
    job, plan, found = _made(seed)
    rough = [s for s in found if s.title.split(". ", 1)[1].startswith("Rough crosscuts")]
    assert "before its first cut, the tape hooked on its datum end" in rough[0].words
    assert not any("leave the tape" in s.words for s in found)
    figures = sheets(job, plan)
    for step in rough:
        for name, cells in step.rows:
            bp = next(b for b in plan.boards if b.board == name)
            at = {c.order: c.at for c in bp.cuts if c.kind == "crosscut" and c.stage == "rough"}
            for cut in cuts(cells, figures[name], job.units):
                assert abs(cut.at - at[cut.order]) <= HAIR, (name, cut)
