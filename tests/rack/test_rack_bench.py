"""The rack's benchmark still runs; its figures are nobody's business here."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench.rack import run


def test_the_benchmark_runs_on_a_small_rack(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(40, str(tmp_path / "small.rack"), tmp_path, starts=1)
    said = capsys.readouterr().out
    for action in ("filter: species", "show one board", "log one board", "dump to CSV", "load from xlsx", "list, filtered"):
        assert said.count(action) == 1
