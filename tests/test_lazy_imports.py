"""Asking for help loads nothing heavy. Run as a script, it prints how long help takes on this machine."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

from yieldopt.cli import COMMANDS

HEAVY = (
    "ortools",
    "matplotlib",
    "numba",
    "sqlalchemy",
    "numpy",
    "reportlab",
    "openpyxl",
    "rectpack",
    "alembic",
    "fastapi",
    "PIL",
    "svgwrite",
)

PROBE = """
import sys
from yieldopt.cli import main
try:
    main(sys.argv[1:])
except SystemExit as stop:
    assert stop.code == 0, stop.code
print("loaded:", *sorted({name.partition(".")[0] for name in sys.modules}))
"""


def _loaded_by(*argv: str) -> set[str]:
    """The top-level modules in memory after running the command line with `argv` in a fresh interpreter."""
    done = subprocess.run([sys.executable, "-c", PROBE, *argv], capture_output=True, text=True, check=True)
    return set(done.stdout.rpartition("loaded:")[2].split())


@pytest.mark.parametrize("argv", [["--help"], *([name, "--help"] for name in COMMANDS)], ids=" ".join)
def test_help_loads_nothing_heavy(argv: list[str]) -> None:
    loaded = _loaded_by(*argv)
    assert "yieldopt" in loaded
    assert loaded.isdisjoint(HEAVY)


def test_the_probe_sees_a_heavy_import() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import numpy, sys; print('numpy' in sys.modules)"], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "True"


if __name__ == "__main__":
    times = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", "yieldopt", "--help"], check=True, capture_output=True)
        times.append(time.perf_counter() - start)
    print(f"yieldopt --help: best {min(times):.2f} s, worst {max(times):.2f} s of {len(times)}")
