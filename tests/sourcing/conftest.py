"""Compiles the planner's functions before any clock of these tests runs."""

from __future__ import annotations

import pytest

from yieldopt.planning.warming import warm


@pytest.fixture(autouse=True, scope="session")
def warmed() -> None:
    """As the command does before its deadline begins."""
    warm()
