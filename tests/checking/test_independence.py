"""The check must share nothing with what it checks."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import yieldopt.checking

ROOM = Path(yieldopt.checking.__file__).parent
# Values and arithmetic that both sides speak of; anything else is written twice on purpose.
SHARED = {"yieldopt.ground.lengths", "yieldopt.wood.lumber", "yieldopt.wood.plan", "yieldopt.records.sections"}


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            found.add(node.module or "")
    return found


def test_the_check_imports_only_shared_values() -> None:
    modules = sorted(ROOM.glob("**/*.py"))
    assert len(modules) > 10
    for path in modules:
        for name in imports(path):
            if name.startswith("yieldopt"):
                assert name in SHARED or name.startswith("yieldopt.checking"), f"{path.name} imports {name}"


def test_running_it_loads_no_planner() -> None:
    code = "import sys, yieldopt.checking; print([m for m in sys.modules if m.startswith('yieldopt.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "yieldopt.checking" in done.stdout
    for room in ("planning", "rules", "sizing", "reading", "drawing", "rack"):
        assert f"yieldopt.{room}" not in done.stdout
