"""`yieldopt source` on the command line: Ctrl-C, logged boards, a plan made before, the packet's view, bad input."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from yieldopt.cli import main


@pytest.mark.parametrize("at", ["planning on the rack alone", "making up boards"])
def test_ctrl_c_writes_what_there_is(folder: Path, tmp_path: Path, at: str) -> None:
    out = tmp_path / "out"
    run = subprocess.Popen(
        [sys.executable, "-m", "yieldopt", "source", str(folder), "--out", str(out), "--seconds", "30"],
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    assert run.stderr is not None
    told = []
    for line in run.stderr:
        told.append(line)
        if line.startswith(at):
            break
    # A terminal sends it to every process of the command.
    os.killpg(run.pid, signal.SIGINT)
    told += run.stderr.readlines()
    assert run.wait(60) == 130, told
    assert not any("Traceback" in line for line in told)
    assert json.loads((out / "source.json").read_text())["stopped"]
    assert not [p for p in out.iterdir() if p.name.startswith(".")]


def test_boards_logged_in_the_dealers_own_rack(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Of boards that give four slats each, twelve more slats are wanted: the three cheapest, and the fourth is second choice."""
    stall, rack, out = tmp_path / "stall", tmp_path / "dealer.db", tmp_path / "out"
    stall.mkdir()
    rows = [f"D{n},oak,4/4,8',6,{cost}" for n, cost in enumerate((20, 24, 18, 30), 1)]
    (stall / "boards.csv").write_text("board,species,quarters,length,width,cost\n" + "\n".join(rows) + "\n")
    (folder / "parts.csv").write_text("part,qty,species,thickness,width,length\nslat,16,oak,3/4,5 3/4,21 1/2\n")
    assert main(["rack", "load", str(stall), "--rack", str(rack)]) == 0
    args = ["source", str(folder), "--out", str(out), "--steps", "10", "--draws", "20", "--quiet"]
    assert main([*args, "--offered", str(rack)]) == 0
    choice = json.loads((out / "source.json").read_text())["choice"]
    assert {b["board"] for b in choice["boards"]} == {"D1", "D2", "D3"}
    assert choice["to_pay"] == 62
    assert choice["bound"] == pytest.approx(62, abs=0.01)
    second = {(i["gone"], *i["take"]): i["more"] for i in choice["second_choices"]}
    assert second == {("D1", "D4"): 10, ("D2", "D4"): 6, ("D3", "D4"): 12}
    assert main(["check", str(out / "plan.json")]) == 0
    assert "Of 4 logged boards take these, 62.00 to pay" in capsys.readouterr().out


def test_the_packet_shows_the_study(folder: Path, tmp_path: Path) -> None:
    plan, out = tmp_path / "plan", tmp_path / "sheets"
    assert main(["plan", str(folder), "--out", str(plan), "--steps", "20", "--quiet"]) == 3
    args = ["source", str(folder), "--steps", "10", "--draws", "20", "--quiet", "--plan", str(plan / "plan.json")]
    assert main([*args, "--out", str(plan)]) == 0
    assert main(["chalk", str(plan / "plan.json"), "--out", str(out)]) == 0
    page = (out / "packet.html").read_text()
    for text in ("What to buy", "Missing on the rack", "The options", "Grades for this job", "net cost"):
        assert text in page
    other = tmp_path / "other.json"
    other.write_text((plan / "source.json").read_text().replace('"job": "', '"job": "another ', 1))
    assert main(["chalk", str(plan / "plan.json"), "--source", str(other), "--out", str(tmp_path / "none")]) == 2
    other.write_text("[]")
    assert main(["chalk", str(plan / "plan.json"), "--source", str(other), "--out", str(tmp_path / "none")]) == 2
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["--chance", "1"], "--chance: found 1, expected 0.01 to 0.999"),
        (["--hourly", "0"], "--hourly: found 0"),
        (["--offered", "nowhere"], "expected a folder with boards.csv, or a rack file"),
        (["--plan", "nowhere"], "nowhere"),
        (["--plan", "x", "--no-rack"], "give one of them"),
    ],
)
def test_bad_input(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str], told: str) -> None:
    assert main(["source", str(folder), "--out", str(tmp_path / "out"), *more]) == 2
    assert told in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_plan_of_another_job_is_refused(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(folder), "--out", str(tmp_path / "plan"), "--steps", "20", "--quiet"]) == 3
    (folder / "parts.csv").write_text("part,qty,species,thickness,width,length\nrail,2,oak,3/4,2,20\n")
    args = ["source", str(folder), "--out", str(tmp_path / "out"), "--plan", str(tmp_path / "plan" / "plan.json")]
    assert main(args) == 2
    assert "not a sound plan of this job" in capsys.readouterr().err


def test_a_bundle_that_is_no_number(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    prices = folder / "prices.csv"
    prices.write_text(prices.read_text().replace(",20\n", ",a pack\n"))
    assert main(["source", str(folder), "--out", str(tmp_path / "out")]) == 2
    assert "prices.csv, row 3, bundle_bf: found 'a pack'" in capsys.readouterr().err
