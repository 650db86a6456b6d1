"""The demo shop: its piece adds up, its rack is plausible, its jobs read; and the demo runs from an installed wheel anywhere."""

from __future__ import annotations

import csv
import json
import os
import shutil
import subprocess
import sys
from collections import Counter
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from yieldopt.demo import inventory
from yieldopt.ground.lengths import parse_length

TOP = Path(__file__).parent.parent
SIDEBOARD = TOP / "inventory" / "sideboard"
JOBS = sorted(p.parent for p in (TOP / "inventory").glob("*/job.toml"))


def _rows(name: str) -> list[dict[str, str]]:
    with open(SIDEBOARD / name, newline="", encoding="utf-8") as f:
        return list(csv.DictReader(f))


@cache
def _part(name: str) -> tuple[Fraction, Fraction, Fraction]:
    """Thickness, width and length of a part of the sideboard, in inches."""
    row = next(r for r in _rows("parts.csv") if r["part"] == name)
    thickness, width, length = (parse_length(row[k], "in") for k in ("thickness", "width", "length"))
    return thickness, width, length


F = Fraction
CASE = 60  # outside width of the case, from inventory/sideboard/README.md


def test_the_bays_fill_the_case() -> None:
    housed = 2 * F(5, 16)
    outer, niche = _part("outer drawer rail")[2] - housed, _part("middle drawer rail")[2] - housed
    assert 2 * outer + niche + 2 * _part("divider")[0] + 2 * _part("case side")[0] == CASE
    assert _part("case bottom")[2] == CASE
    assert _part("outer rear drawer rail")[2] == _part("outer drawer rail")[2]
    assert _part("middle shelf")[2] == niche + F(1, 2)
    assert _part("outer shelf")[2] == outer - F(1, 8)


def test_the_fronts_fill_their_openings() -> None:
    housed, gap = 2 * F(5, 16), F(1, 8)
    for front, rail in (("left", "outer"), ("middle", "middle"), ("right", "outer")):
        assert _part(f"{front} drawer front")[2] == _part(f"{rail} drawer rail")[2] - housed - gap
    height = 5 + _part("outer drawer rail")[0] + _part("door stile")[2] + gap
    assert height == _part("case side")[2] - _part("case bottom")[0] - _part("front top rail")[0]
    assert _part("divider")[2] == height + F(1, 2)


def test_the_doors_close() -> None:
    _, stile, door_height = _part("door stile")
    opening = _part("outer drawer rail")[2] - 2 * F(5, 16)
    between = _part("door top rail")[2] - 2 * F(5, 4)
    assert between + 2 * stile == opening - F(1, 8)
    grooves = 2 * F(7, 16)
    for side in ("left", "right"):
        _, half, height = _part(f"{side} door panel")
        assert 0 < between + grooves - 2 * half < F(1, 4), "a solid panel needs room to move, and must not fall out"
        assert height == door_height - _part("door top rail")[1] - _part("door bottom rail")[1] + grooves - F(1, 16)


def test_the_drawers_fit() -> None:
    inside = _part("divider")[1]
    assert _part("drawer side")[2] + F(1, 4) < inside
    for place, front in (("outer", "left"), ("middle", "middle")):
        assert _part(f"{place} drawer back")[2] == _part(f"{front} drawer front")[2]
        assert _part(f"{place} drawer bottom")[2] == _part(f"{front} drawer front")[2] - 2 * _part("drawer side")[0] + 2 * F(1, 4)
        assert _part(f"{place} drawer bottom")[1] == _part("drawer side")[2] + F(1, 4) - _part("left drawer front")[0] + F(1, 4)
    assert _part("drawer runner")[2] == inside - _part("outer drawer rail")[1] - _part("outer rear drawer rail")[1] + 2 * F(3, 8)
    assert _part("kicker")[2] == inside - _part("front top rail")[1] - _part("rear top rail")[1]


def test_the_back_fills_its_rebate() -> None:
    _, stile, height = _part("back stile")
    between = _part("back bottom rail")[2] - 2 * F(5, 4)
    rebate = CASE - 2 * _part("case side")[0] + 2 * F(3, 8)
    assert between + 2 * stile == rebate - F(1, 16)
    assert height == _part("case side")[2]
    assert _part("back muntin")[2] == height - 2 * _part("back bottom rail")[1] + 2 * F(3, 4)
    niche = _part("middle drawer rail")[2] - 2 * F(5, 16) + _part("divider")[0] - _part("back muntin")[1]
    assert (niche - 2 * _part("niche muntin")[1]) / 3 + 2 * F(3, 8) - F(1, 8) == _part("niche panel")[1]
    outer = (between - niche - 2 * _part("back muntin")[1]) / 2
    assert 0 < outer + F(3, 4) - _part("outer back panel")[1] < F(3, 8)


def test_the_stand_stands() -> None:
    leg, tenon = _part("leg")[1], F(9, 8)
    assert _part("long stand rail")[2] - 2 * tenon + 2 * leg == CASE - 4
    assert _part("short stand rail")[2] - 2 * tenon + 2 * leg == 14
    assert _part("cross rail")[2] - 1 == 14 - 2 * (F(1, 4) + _part("long stand rail")[0])
    assert _part("leg")[2] + _part("case side")[2] + _part("top")[0] == 36


def test_the_rack_is_a_real_one() -> None:
    boards, defects = _rows("boards.csv"), _rows("defects.csv")
    assert 28 <= len(boards) <= 40
    assert len({b["species"] for b in boards}) == 3
    assert {b["quarters"] for b in boards} >= {"4/4", "5/4", "6/4", "8/4"}
    assert {b["stress"] for b in boards} == {"tested", "unknown", "no resaw"}
    assert {"datum", "far", "both", "none"} == {b["sound_ends"] for b in boards}
    for b in boards:
        assert F(9, 2) <= parse_length(b["width"], "in") <= F(21, 2)
        assert 84 <= parse_length(b["length"], "in") <= 144
        assert sum(1 for k in ("cost", "price_bf", "price_m3") if b[k]) == 1
    feet = {"common": F(0), "select": F(0)}
    found: Counter[str] = Counter()
    for b in boards:
        feet[b["grade"]] += parse_length(b["length"], "in") * parse_length(b["width"], "in") / 144
        found[b["grade"]] += sum(1 for d in defects if d["board"] == b["board"])
    assert F(6, 10) < found["common"] / feet["common"] < F(12, 10), "about a defect per square foot in common boards"
    assert found["select"] / feet["select"] < F(1, 2), "fewer in better ones"
    assert {d["face"] for d in defects} == {"A", "B", "both"}


@pytest.mark.parametrize("job", JOBS, ids=lambda p: p.name)
def test_the_jobs_read_without_a_mistake(job: Path) -> None:
    from yieldopt.reading import read_job

    assert read_job(job).parts


def test_the_sideboard_uses_every_feature() -> None:
    parts = _rows("parts.csv")
    assert {p["match_kind"] for p in parts} == {"", "book", "slip", "run", "board"}
    assert {p["faces"] for p in parts} == {"0", "1", "2"}
    assert any(p["staves"] for p in parts)
    assert any(p["from"] for p in parts)
    assert any(p["grain"] == "any" for p in parts)
    assert any(p["sawn"] == "quarter" for p in parts)
    assert any(p["allow"] for p in parts)
    assert len({p["thickness"] for p in parts}) >= 8
    assert _rows("pins.csv")
    assert _rows("edges.csv")
    assert len({p["dealer"] for p in _rows("prices.csv")}) == 2


def test_a_checkout_finds_its_own_inventory() -> None:
    assert inventory() == TOP / "inventory"


def test_git_has_the_inventory() -> None:
    done = subprocess.run(["git", "ls-files", "inventory"], cwd=TOP, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip("not a git checkout")
    here = {str(p.relative_to(TOP)) for p in (TOP / "inventory").rglob("*") if p.is_file()}
    assert here == set(done.stdout.splitlines())


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder into which the wheel, built from a copy of the sources, has been installed; needs no network."""
    work = tmp_path_factory.mktemp("wheel")
    source = work / "source"
    for name in ("yieldopt", "inventory"):
        shutil.copytree(TOP / name, source / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(TOP / name, source)
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
    subprocess.run([*pip, "wheel", "--no-deps", "--no-build-isolation", "-w", str(work), str(source)], check=True)
    (wheel,) = work.glob("*.whl")
    subprocess.run([*pip, "install", "--no-deps", "--target", str(work / "site"), str(wheel)], check=True)
    return work / "site"


def _elsewhere(installed: Path, folder: Path, *argv: str) -> subprocess.CompletedProcess[str]:
    """Run Python in `folder` with the installed wheel before everything else."""
    return subprocess.run(
        [sys.executable, *argv],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_wheel_carries_the_inventory_and_every_module(installed: Path, tmp_path: Path) -> None:
    probe = "import yieldopt.demo as d; print(d.inventory())"
    assert Path(_elsewhere(installed, tmp_path, "-c", probe).stdout.strip()) == installed / "yieldopt" / "inventory"
    for top, inside in (("inventory", "yieldopt/inventory"), ("yieldopt", "yieldopt")):
        missing = _files(TOP / top) - _files(installed / inside)
        assert not missing, "missing from the wheel"


def _files(folder: Path) -> set[str]:
    """Paths below `folder`, without what tools leave behind."""
    found = (p.relative_to(folder) for p in folder.rglob("*") if p.is_file())
    return {str(p) for p in found if not any(part == "__pycache__" or part.startswith(".") for part in p.parts)}


def _demo_out_of_the_wheel(installed: Path, folder: Path, seconds: str) -> dict[str, Any]:
    """Run the demo in `folder`, look at everything it wrote, and return its plan."""
    done = _elsewhere(installed, folder, "-m", "yieldopt", "demo", "--seconds", seconds)
    out = folder / "yieldopt-demo"
    assert done.returncode in (0, 3), done.stdout + done.stderr
    plan: dict[str, Any] = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert done.returncode == (3 if plan["unplaced"] else 0)
    assert done.stdout.count("INCOMPLETE") == len(plan["unplaced"])
    assert str(Path("yieldopt-demo") / "packet.html") in done.stdout
    for word in ("Net cost", "Yield", "Boards", *(() if plan["unplaced"] else ("Bound", "Gap"))):
        assert word in done.stdout
    assert plan["totals"]["boards_cut"] == len(plan["boards"]) < len(_rows("boards.csv")), "some boards are left over"
    assert {p.stem for p in (out / "sheets").glob("*.svg")} == {b["board"] for b in plan["boards"]}
    assert (out / "packet.pdf").read_bytes().startswith(b"%PDF")
    again = _elsewhere(installed, folder, "-m", "yieldopt", "check", str(out / "plan.json"))
    assert again.returncode == 0, again.stdout
    return plan


@pytest.mark.long  # its kernels are compiled for the new place; the tutorial of the sideboard runs the demo from here
def test_the_demo_runs_from_the_wheel_in_any_folder(installed: Path, tmp_path: Path) -> None:
    # So short a search may leave parts unplaced on a busy machine; whether all find a place is the long test's question.
    assert _demo_out_of_the_wheel(installed, tmp_path, "10")["boards"]


@pytest.mark.long
def test_the_demo_places_every_part(installed: Path, tmp_path: Path) -> None:
    assert _demo_out_of_the_wheel(installed, tmp_path, "180")["unplaced"] == []


def test_the_demo_refuses_a_senseless_time(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    from yieldopt.cli import main

    assert main(["demo", "--seconds", "nan", "--out", str(tmp_path / "out")]) == 2
    assert "--seconds" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
