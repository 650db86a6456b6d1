"""A command reads, does, shows and returns its exit status: what it decides is decided in the room that it belongs to."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import yieldopt

TOP = Path(yieldopt.__file__).parent
MODULES = sorted([*(TOP / "commands").glob("*.py"), *(TOP / "rack" / "commands").glob("*.py")])
# Statements of one function, those inside others counted, imports and docstrings not. Options are listed as long as they are.
MOST = 12


def statements(function: ast.FunctionDef) -> int:
    """How many there are below the function's head."""

    def counts(node: ast.AST) -> bool:
        words = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        return isinstance(node, ast.stmt) and not isinstance(node, ast.Import | ast.ImportFrom) and not words

    return sum(counts(node) for node in ast.walk(function)) - 1


def functions(text: str) -> Iterator[ast.FunctionDef]:
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef) and not node.name.endswith("arguments"):
            yield node


@pytest.mark.parametrize("module", MODULES, ids=lambda m: f"{m.parent.parent.name}/{m.stem}")
def test_a_command_decides_nothing(module: Path) -> None:
    for function in functions(module.read_text(encoding="utf-8")):
        found = statements(function)
        assert found <= MOST, f"{function.name} has {found} statements: its policy belongs in a room"


def test_what_is_counted() -> None:
    text = "def f(a):\n    '''Says.'''\n    import x\n    if a:\n        b = 1\n        return b\n    return 0\n"
    (function,) = functions(text)
    assert statements(function) == 4
