"""What a stranger reads off the printed sheets alone is the plan: every cut, every blank. What a program can't read there, a
person can't either."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from made_up import made_up
from stranger import ReadBoard, boards_in, pdf_words, svg_words

from yieldopt.drawing.packet.packet import packet_files
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import BoardPlan, Plan

MM = F(10, 254)


def _near(read: F, there: F, units: str) -> bool:
    """Figures are printed to 1/64 in, blanks' sizes rounded down; in millimetres to a half."""
    return abs(read * (MM if units == "mm" else 1) - there) <= (F(1, 4) * MM + F(1, 1000) if units == "mm" else F(1, 64))


def _differs(job: Job, bp: BoardPlan, read: ReadBoard) -> list[str]:
    """What the sheet says otherwise than the plan."""
    board, units, wrong = job.board_named[bp.board], job.units, []
    if set(read.cuts) != {c.order for c in bp.cuts}:
        wrong.append(f"cuts {sorted(read.cuts)}")
    if set(read.blanks) != {b.blank for b in bp.blanks}:
        wrong.append(f"blanks {sorted(read.blanks)}")
    for b in bp.blanks:
        r = read.blanks.get(b.blank)
        if r and not all(_near(u, v, units) for u, v in ((r.x, b.x), (r.y, b.y), (r.length, b.length), (r.width, b.width))):
            wrong.append(f"{b} is read as {r}")
    corners = {b.blank: (b.x, b.y) for b in bp.blanks}
    for cut in bp.cuts:
        c = read.cuts.get(cut.order)
        if c is None:
            continue
        same = c.kind == cut.kind and c.blank == (cut.blank or "" if cut.stage != "rough" else "")
        origin = F(0)
        if cut.stage == "final" and cut.blank:
            origin = corners[cut.blank][0 if cut.kind == "crosscut" else 1]
        same = same and _near(c.at, cut.at - origin, units)
        if cut.stage == "rough":
            near, far = board.channel(cut.at, cut.at) if cut.kind == "crosscut" else (F(0), board.length)
            if c.start is None or c.end is None:
                same = same and cut.start <= near + F(1, 64) and cut.end >= far - F(1, 64)
            else:
                same = same and _near(c.start, cut.start, units) and _near(c.end, cut.end, units)
        if not same:
            wrong.append(f"{cut} is read as {c}")
    return wrong


def _read_back(job: Job, plan: Plan, folder: Path) -> None:
    files = packet_files(job, plan, date="2026-01-01", sections=("sheets",))
    pdf = files["packet.pdf"]
    assert isinstance(pdf, bytes)
    (folder / "packet.pdf").write_bytes(pdf)
    from_pdf = boards_in(pdf_words(folder / "packet.pdf"))
    assert sorted(from_pdf) == sorted(bp.board for bp in plan.boards)
    for bp in plan.boards:
        from_svg = boards_in(svg_words(str(files[f"sheets/{bp.board}.svg"])))
        assert list(from_svg) == [bp.board]
        assert _differs(job, bp, from_svg[bp.board]) == []
        assert _differs(job, bp, from_pdf[bp.board]) == []


@pytest.mark.parametrize("seed", range(3))
def test_a_stranger_rebuilds_cuts_and_blanks_from_the_sheets(seed: int, tmp_path: Path) -> None:
    _read_back(*made_up(seed, boards=2, units="mm" if seed == 2 else "in"), tmp_path)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100))
def test_a_stranger_rebuilds_a_hundred_jobs(seed: int, tmp_path: Path) -> None:
    _read_back(*made_up(100 + seed, units="mm" if seed % 3 == 0 else "in"), tmp_path)


def test_the_stranger_finds_what_is_printed_wrong() -> None:
    """A sheet of another plan does not pass."""
    job, plan = made_up(1, boards=1)
    (bp,) = plan.boards
    svg = str(packet_files(job, plan, date="d", sections=("sheets",))[f"sheets/{bp.board}.svg"])
    read = boards_in(svg_words(svg))[bp.board]
    first = next(c for c in bp.cuts if c.stage == "rough")
    moved = replace(bp, cuts=tuple(replace(c, at=c.at + F(1, 8)) if c is first else c for c in bp.cuts))
    assert _differs(job, bp, read) == []
    assert len(_differs(job, moved, read)) == 1
