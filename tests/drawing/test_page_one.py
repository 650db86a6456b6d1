"""The list of boards to fetch, the wall sheet, what is printed only if asked for, and colours that are legible in grey."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from made_up import made_up

from yieldopt.cli import main
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.drawing.page.paper import LETTER, PHONE
from yieldopt.drawing.page.primitives import Page, Polygon, Rect
from yieldopt.drawing.page.tints import PATTERNS, RED, TINTS, set_looks
from yieldopt.ground.files import write_all_atomically
from yieldopt.reading.writing import job_files
from yieldopt.records.planfile import dumps
from yieldopt.wood.lumber import Job


def _placed(job: Job, places: list[str]) -> Job:
    named = dict(zip([b.name for b in job.boards], places, strict=False))
    return replace(job, boards=tuple(replace(b, notes={**b.notes, "place": named.get(b.name, "")}) for b in job.boards))


def _words(page: Page) -> list[str]:
    return [t.text for t in page.texts()]


def test_page_one_lists_the_boards_in_the_order_in_which_they_lie() -> None:
    job, plan = made_up(4, boards=3)
    job = _placed(job, ["rack 10 low", "", "rack 2 top"])
    pages = draw_packet(job, plan, sections=("pull", "wall")).pages
    first = [t.text for t in pages[0].texts() if t.role == "pull"]
    names = [t for t in first if t in job.board_named]
    by_name = {b.name: b.notes["place"] for b in job.boards}
    cut = {bp.board for bp in plan.boards}
    wanted = [n for p in ("rack 2 top", "rack 10 low", "") for n, place in by_name.items() if place == p and n in cut]
    assert names == wanted
    assert "rack 2 top" in first
    assert "place not noted" in " ".join(first)
    said = " ".join(first)
    for bp in plan.boards:
        assert all(p.part.split()[0] in said for p in bp.pieces)


def test_the_wall_sheet_shows_every_board_whole_and_to_one_scale() -> None:
    job, plan = made_up(5)
    pages = draw_packet(job, plan, sections=("wall",)).pages
    assert [p.kind for p in pages] == ["wall"]
    drawn = {dict(m.data)["name"]: m for m in pages[0].marks if getattr(m, "role", "") == "wall-board"}
    assert set(drawn) == {bp.board for bp in plan.boards}
    scales = []
    for name, m in drawn.items():
        xs = [x for x, _ in m.points]  # type: ignore[union-attr]
        scales.append((max(xs) - min(xs)) / float(job.board_named[name].length))
    assert max(scales) == pytest.approx(min(scales))
    pieces = {dict(m.data)["name"] for m in pages[0].marks if getattr(m, "role", "") == "wall-piece"}
    assert all(p.piece in pieces for _, p in plan.pieces() if p.layer == 1)


def test_labels_and_charts_only_if_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job, plan = made_up(1, boards=1)
    kinds = {p.kind for p in draw_packet(job, plan).pages}
    assert not kinds & {"labels", "charts"}
    write_all_atomically(tmp_path / "job", job_files(job))
    (tmp_path / "plan.json").write_text(dumps(plan), encoding="utf-8")
    command = ["chalk", str(tmp_path / "plan.json"), "--out", str(tmp_path / "out")]
    assert main([*command, "--only", "wall", "--with", "labels", "--landscape", "--large", "--paper", "a4"]) == 0
    assert (tmp_path / "out" / "wall.svg").is_file()
    assert (tmp_path / "out" / "wall.pdf").is_file()
    assert main([*command, "--only", "everything"]) == 2
    assert "labels for blanks" in capsys.readouterr().err


def test_one_way_of_the_paper_holds_for_all_pages() -> None:
    job, plan = made_up(2, boards=2)
    for paper in (LETTER.lying, LETTER.standing):
        pages = draw_packet(job, plan, paper, held=True).pages
        assert {(p.width, p.height) for p in pages} == {(paper.width, paper.height)}


def _luminance(colour: str) -> float:
    """Relative luminance (W3C, WCAG 2.2); a print in grey keeps it, so contrast in grey is this contrast."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def _contrast(a: str, b: str) -> float:
    low, high = sorted((_luminance(a), _luminance(b)))
    return (high + 0.05) / (low + 0.05)


def test_colours_stay_legible_in_grey() -> None:
    """Lettering on every tint 7 : 1, red strokes on paper and on every tint 4.5 : 1 (W3C, WCAG 2.2, 1.4.6 and 1.4.3)."""
    for tint in (*TINTS, "#ffffff"):
        assert _contrast("#000000", tint) >= 7
        assert _contrast(RED, tint) >= 4.5
    job, plan = made_up(2)
    for page in draw_packet(job, plan).pages:
        for m in page.marks:
            assert getattr(m, "ink", "") in ("", RED)
            assert getattr(m, "tint", "") in ("", RED, *TINTS)


def test_no_two_of_many_sets_look_alike() -> None:
    _, plan = made_up(2)
    some = plan.boards[0].pieces[0]
    pieces = tuple(replace(some, piece=f"p{n}", set=f"set {n}") for n in range(len(TINTS) * len(PATTERNS)))
    looks = set_looks(replace(plan, boards=(replace(plan.boards[0], pieces=pieces),)))
    assert len(set(looks.values())) == len(pieces)


def test_a_narrow_screen_shows_each_board_whole_as_the_wall_sheet_does() -> None:
    """Pieces of the wall sheet and of a phone's sheet lie alike on their boards."""

    def pieces(pages: list[Page], board: str) -> dict[str, tuple[float, ...]]:
        marks = [m for p in pages for m in p.marks]
        outline = next(m for m in marks if isinstance(m, Polygon) and m.role == "wall-board" and dict(m.data)["name"] == board)
        left, top = min(x for x, _ in outline.points), min(y for _, y in outline.points)
        points = max(x for x, _ in outline.points) - left
        here = {p.piece for bp in plan.boards if bp.board == board for p in bp.pieces}
        return {
            dict(m.data)["name"]: tuple(round(v / points, 6) for v in (m.x - left, m.y - top, m.width, m.height))
            for m in marks
            if isinstance(m, Rect) and m.role == "wall-piece" and dict(m.data)["name"] in here
        }

    job, plan = made_up(4, boards=2)
    wall = [p for p in draw_packet(job, plan).pages if p.kind == "wall"]
    narrow = draw_packet(job, plan, PHONE).sheets
    for bp in plan.boards:
        assert pieces(wall, bp.board)
        assert pieces(wall, bp.board) == pieces(narrow[bp.board], bp.board)
