"""What a shop that works in millimetres reads: marks that its tape has, and wood in cubic metres.

A metric tape is marked in millimetres, half ones are judged by eye; callipers read tenths: common practice, no source. A board
foot is 144 cubic inches and an inch 25.4 mm exactly.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest

from yieldopt.cli import main
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.ground.lengths import in_fractions, on_a_tape
from yieldopt.planning import plan_job
from yieldopt.records.why import why_lines
from yieldopt.wood.lumber import Board, Job, Part
from yieldopt.wood.volumes import in_volume

MM = F(10, 254)


@pytest.mark.parametrize(
    ("mm", "read"),
    [
        ("600", "600"),
        ("47.5", "47.5"),
        # 1 7/8 in, and two inches off the end of a board.
        ("47.625", "~47.5"),
        ("416.2", "~416"),
        ("50.8", "~51"),
        # Below 10 mm callipers read it.
        ("2.38125", "2.4"),
        ("0.8", "0.8"),
    ],
)
def test_marks_are_those_of_a_tape(mm: str, read: str) -> None:
    assert on_a_tape(F(mm) * MM, "mm") == read


def test_inches_are_read_as_ever() -> None:
    for sixtyfourths in range(0, 400, 7):
        assert on_a_tape(F(sixtyfourths, 64), "in") == in_fractions(F(sixtyfourths, 64))


def test_a_cubic_metre_is_423_776_board_feet() -> None:
    assert in_volume(F(144), "in") == "1.00 board feet"
    assert in_volume(F("1000") ** 3 * MM**3, "mm") == "1.0000 m³"
    assert float(F("1000") ** 3 * MM**3 / 144) == pytest.approx(423.776, abs=1e-3)


def shelf(units: str) -> Job:
    board = Board("one", "ash", "27mm", 27 * MM, 2000 * MM, 150 * MM, 27 * MM, cost=F(20), stress="tested")
    part = Part("shelf", 2, "ash", 18 * MM, 120 * MM, 600 * MM)
    return Job("shelf", units, (part,), (board,))  # type: ignore[arg-type]


def test_a_packet_in_millimetres_has_no_tenths_on_a_tape_and_no_board_feet() -> None:
    job = shelf("mm")
    plan = plan_job(job, seconds=60, steps=5, after=1.0).plan
    texts = [t.text for page in draw_packet(job, plan).pages for t in page.texts()]
    text = " ".join(texts)
    assert "m³" in text
    assert "board feet" not in text
    tenths = [n for t in texts for n in re.findall(r"(?<![\d.])\d{2,}\.\d+(?![\d.])", t) if not n.endswith(".5")]
    # Money has two places.
    assert [n for n in tenths if len(n.rpartition(".")[2]) == 1] == []
    inch = draw_packet(replace(job, units="in"), replace(plan, units="in"))
    assert "board feet" in " ".join(t.text for page in inch.pages for t in page.texts())
    assert all(" mm" in line for line in why_lines(plan) if line.startswith("tightest"))


def test_a_tally_in_millimetres_says_the_volume_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "boards.csv").write_text("board,species,quarters,length,width,cost\nA1,ash,27mm,2000,150,20\n")
    (tmp_path / "job.toml").write_text('name = "shelf"\nunits = "mm"\n')
    assert main(["tally", str(tmp_path)]) == 0
    assert "by exact volume: 0.0081 m³" in capsys.readouterr().out


def test_the_rack_lists_cubic_metres_where_it_is_asked_in_millimetres(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rack = str(tmp_path / "rack")
    log = ["rack", "log", "--rack", rack, "--board", "A1", "--species", "ash", "--quarters", "27mm", "--units", "mm"]
    assert main([*log, "--length", "2000", "--width", "150"]) == 0
    capsys.readouterr()
    assert main(["rack", "list", "--rack", rack, "--units", "mm"]) == 0
    out = capsys.readouterr().out
    assert "0.0081 m³" in out
    assert "board feet" not in out
    assert main(["rack", "show", "A1", "--rack", rack, "--units", "mm"]) == 0
    assert "0.0081 m³" in capsys.readouterr().out
    assert main(["rack", "list", "--rack", rack]) == 0
    assert "3.43 board feet" in capsys.readouterr().out
