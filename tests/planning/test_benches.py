"""The benchmarks still run, on jobs of two boards; their figures mean nothing here."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from bench import ablation, hostile, kinds, workers
from bench.families import FAMILIES, plain
from bench.gaps import line, measure
from bench.growth import exponent, times
from bench.replan import main as bench_replan
from bench.robust import main as bench_robust
from bench.yardsticks import bare, better, compare

from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job


def test_gaps() -> None:
    row = measure(plain(1, 2, 2, 3), 0.5)
    assert str(row["boards"]) in line(row)
    assert row["cost"]


def test_yardsticks() -> None:
    """CP-SAT may ignore through-cuts, so its bound is below every plan; rectpack's layouts are dearer or as dear."""
    row = compare(bare(3, 2), 2.0)
    assert row["its bound"] is not None
    assert all(row[n] is None or row[n] >= row["its bound"] - 0.01 for n in ("ours", "rectpack", "CP-SAT"))


def test_growth() -> None:
    _, _, gap = times(2, 0.5, 0.05)
    assert gap is None or 0 <= gap <= 1
    assert exponent([(10, 3.0), (20, 12.0), (40, 48.0)]) == pytest.approx(2)
    assert exponent([(10, 3.0)]) is None
    assert math.isfinite(exponent([(10, 0.0), (20, 1.0)]) or 0)


@pytest.mark.parametrize("name", FAMILIES)
def test_families_are_the_same_every_time(name: str) -> None:
    assert FAMILIES[name](2) == FAMILIES[name](2)


def test_mixed_has_every_constraint() -> None:
    j = FAMILIES["mixed"](1)
    assert len(j.boards) == 26
    assert len({b.species for b in j.boards}) == 3
    assert {b.quarters for b in j.boards} == {"4/4", "5/4", "6/4", "8/4"}
    assert {p.match_kind for p in j.parts} == {None, "book", "slip", "run", "board"}
    assert j.pins
    assert j.leave
    assert any(p.sources for p in j.parts)
    assert any(p.staves for p in j.parts)
    assert any(p.grain == "any" for p in j.parts)
    assert any(b.edges for b in j.boards)
    assert any(b.crook for b in j.boards)


def test_robust(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    job = plain(1, 4, 3, 5)
    write_all_atomically(tmp_path, plan_files(job, plan_job(job, seconds=1, seed=1).plan))
    bench_robust(["--plan", str(tmp_path / "plan.json"), "--draws", "8", "--fresh", "8", "--hidden", "0", "--alone"])
    head, line, *_ = capsys.readouterr().out.splitlines()
    assert "fresh ones" in head
    assert line.startswith("given ")


def test_replan(capsys: pytest.CaptureFixture[str]) -> None:
    bench_replan(["--families", "shop", "--seeds", "1", "--prices", "0.5", "--plan-seconds", "1", "--seconds", "0.5"])
    head, *lines = capsys.readouterr().out.splitlines()
    assert "marks kept" in head
    assert len(lines) == 1


def test_ablation_still_takes_something_out() -> None:
    """Every switch finds what it takes out, and plans without it pass the check."""
    for name in ablation.SWITCHES:
        ablation.measure(name, lambda: plain(1, 2, 2, 3), 0.3)
    assert ablation.mean_change([100.0, None, 50.0], [110.0, 5.0, 50.0]) == pytest.approx(0.05)


def test_kinds_of_layout_are_guillotine_layouts() -> None:
    """What our kinds reach, any through-cuts reach too: the engine's bound is never below."""
    for seed in (1, 2):
        j = kinds.job_of(seed, 3, defects=False)
        values = kinds.values_of(j, seed)
        best, bound = kinds.anyhow(j, values, 20)
        assert best == pytest.approx(bound)
        assert 0 < kinds.ours(j, values) <= best + 1e-6


def test_hostile_jobs_are_what_they_say() -> None:
    assert len(hostile.HOSTILE["1000 defects"]().boards[0].defects) == 1000
    assert len({(b.length, b.width, b.cost) for b in hostile.HOSTILE["100 boards alike"]().boards}) == 1
    assert hostile.HOSTILE["a board of 40 ft"]().boards[0].length == 480
    assert hostile.HOSTILE["quantity 500"]().parts[0].qty == 500


def test_better() -> None:
    assert better(100, 120) == pytest.approx(0.2)
    assert better(None, 120) is None


def test_workers(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bench.workers.FAMILIES", {"shop": lambda seed: plain(seed, 2, 2, 3)})
    monkeypatch.setattr("sys.argv", ["workers", "--seeds", "1", "--steps", "2"])
    workers.main()
    assert "the same" in capsys.readouterr().out
