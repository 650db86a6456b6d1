"""Racks for the tests, on both databases: every test that asks for `where` runs on SQLite and, if the environment variable
YIELDOPT_TEST_POSTGRES holds an address (postgresql://user@host/name), on PostgreSQL too, each in a schema of its own."""

from __future__ import annotations

import os
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from yieldopt.rack.door.facade import Rack

SERVER = os.environ.get("YIELDOPT_TEST_POSTGRES", "")


@contextmanager
def server_schema() -> Iterator[str]:
    """The address of a new, empty schema on the server."""
    import psycopg

    name = f"rack_{uuid.uuid4().hex}"
    with psycopg.connect(SERVER, autocommit=True) as connection:
        connection.execute(f"CREATE SCHEMA {name}")
    try:
        yield f"{SERVER}?options=-csearch_path%3D{name}"
    finally:
        with psycopg.connect(SERVER, autocommit=True) as connection:
            connection.execute(f"DROP SCHEMA {name} CASCADE")


@pytest.fixture
def tmp_path(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where there is one: these tests sync thousands of times, and none needs the disk itself for it."""
    memory = Path("/dev/shm")
    if not os.access(memory, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(prefix="rack-", dir=memory) as name:
        yield Path(name)


@pytest.fixture(
    params=["sqlite", pytest.param("postgresql", marks=pytest.mark.skipif(not SERVER, reason="no PostgreSQL server was named"))]
)
def where(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a rack may be made; there is none yet."""
    if request.param == "sqlite":
        yield str(tmp_path / "shop.rack")
    else:
        with server_schema() as address:
            yield address


@pytest.fixture
def rack(where: str) -> Iterator[Rack]:
    """An empty rack; Ann works on it."""
    with Rack.open(where, create=True, who="Ann") as opened:
        yield opened


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A rack file's path; there is none yet."""
    return tmp_path / "shop.rack"
