"""Fixtures of the planner's tests."""

from __future__ import annotations

import pytest


@pytest.fixture(scope="session", autouse=True)
def _compiled() -> None:
    """Compile before any test's clock runs."""
    from yieldopt.planning.warming import warm

    warm()
