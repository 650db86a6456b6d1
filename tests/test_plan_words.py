"""What planning prints of one board: singular, and nothing of money or show faces where there are none (invented data)."""

from __future__ import annotations

from fractions import Fraction as F
from pathlib import Path

import pytest

from yieldopt.cli import main
from yieldopt.ground.counted import counted
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_checked
from yieldopt.reading.writing import job_files
from yieldopt.records.why import spare_words
from yieldopt.replanning.figures import figures
from yieldopt.wood.lumber import Board, Job, Part


@pytest.mark.parametrize(
    ("cost", "money"),
    [
        (None, "cost unknown: 1 board has no price, so as little wood was cut"),
        (0, "every board costs 0, so as little wood was cut"),
        (20, "net cost "),
    ],
)
def test_one_board_is_one_board(tmp_path: Path, capsys: pytest.CaptureFixture[str], cost: int | None, money: str) -> None:
    board = Board("B", "ash", "4/4", F(1), F(40), F(6), F(1), cost=None if cost is None else F(cost))
    job = Job("slat", "in", (Part("slat", 2, "ash", F(3, 4), F(2), F(17), faces=0),), (board,))
    write_all_atomically(tmp_path, {f"job/{name}": text for name, text in job_files(job).items()})
    assert main(["plan", str(tmp_path / "job"), "--out", str(tmp_path / "p"), "--steps", "3", "--quiet"]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith(f"1 board cut, {money}")
    assert "no piece has to show a clear face" in printed
    assert main(["chalk", str(tmp_path / "p/plan.json"), "--out", str(tmp_path / "p")]) == 0
    assert capsys.readouterr().out.startswith("1 sheet and the packet are in")
    usual = (tmp_path / "p/packet.html").read_text(encoding="utf-8")
    assert ("cost not known" in usual) == (cost is None)
    assert main(["chalk", str(tmp_path / "p/plan.json"), "--out", str(tmp_path / "p"), "--with", "figures"]) == 0
    packet = (tmp_path / "p/packet.html").read_text(encoding="utf-8")
    # What is not known is not printed as nothing.
    assert ("cost unknown" in packet) == ("no price" in packet) == (cost is None)
    assert (">net cost<" in packet.split("Money")[1].split("Not placed")[0]) == (cost is not None)


def test_only_one_is_singular() -> None:
    assert [counted(n, "breach", "es") for n in (0, 1, 2)] == ["0 breaches", "1 breach", "2 breaches"]


def test_what_is_too_little_to_measure_is_said_in_words() -> None:
    """A plan's tightest blank, in the report and in the table of two revisions: `~0"` looks like none at all."""
    assert spare_words(F(1, 1000), "in") == "less than can be measured"
    assert spare_words(F(1, 1000), "mm") == "less than can be measured"
    assert spare_words(F(0), "in") == "nothing"
    assert spare_words(F(1, 64), "in") == '1/64"'
    spare = F(1, 1000)
    board = Board("A1", "oak", "4/4", F(1), F(60), F(6), F(3, 4) + F(3, 16) + spare)
    job = Job("thin", "in", (Part("rail", 1, "oak", F(3, 4), F(3), F(20)),), (board,))
    plan = plan_checked(job, seconds=60, steps=2).plan
    assert plan.complete
    row = next(r for r in figures(job, plan, job, plan) if r.what == "least thickness to spare")
    assert row.after == f"less than can be measured ({plan.boards[0].blanks[0].blank})"
