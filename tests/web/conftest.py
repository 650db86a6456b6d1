"""A rack of its own for each test, and the page in front of it, in this process."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from yieldopt.rack.door.facade import Rack
from yieldopt.web.app import Setup, make_app

MARK = {"x-yieldopt": "1"}


@pytest.fixture
def rack(tmp_path: Path) -> Iterator[Rack]:
    with Rack.open(tmp_path / "shop.rack", create=True) as rack:
        yield rack


@pytest.fixture
def page(rack: Rack) -> Callable[..., TestClient]:
    """Makes a client of the page; options are those of `Setup`."""

    def make(address: str = "http://localhost", **options: Any) -> TestClient:
        return TestClient(make_app(Setup(rack, **options)), base_url=address, headers=MARK, raise_server_exceptions=False)

    return make


@pytest.fixture
def change() -> Callable[..., dict[str, Any]]:
    """A phone's change of one board."""

    def make(name: str = "W1", base: str | None = None, **cells: str) -> dict[str, Any]:
        typed = {"board": name, "species": "walnut", "quarters": "4/4", "length": "96", "width": "7 3/8", **cells}
        return {"key": str(uuid.uuid4()), "base": base, "cells": typed, "defects": [], "edges": []}

    return make


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """The page open in a browser, for tests of what it works out by itself."""
    from phone import Phone, Served

    folder = tmp_path_factory.mktemp("opened")
    served = Served(folder / "shop.rack", "--port", "0")
    phone = Phone(folder / "one")
    phone.driver.get(served.url)
    phone.says("Measure a board")
    yield phone
    phone.driver.quit()
    assert served.stop() == 0
