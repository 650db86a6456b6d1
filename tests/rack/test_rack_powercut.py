"""A power cut at any moment loses nothing that was confirmed."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest
from making import KNOT, entry
from powercut import Record, after_cut, library, recording

from yieldopt.rack.door.facade import Rack

LONG = os.environ.get("YIELDOPT_TESTS") == "long"


@pytest.fixture
def record(tmp_path: Path) -> tuple[Record, dict[str, bytes]]:
    """Thirty boards logged, one corrected, one undone, with everything that reached the files; and the files before."""
    if library() is None:
        pytest.skip("SQLite is built into this Python; its file layer can't be reached")
    folder = tmp_path / "before"
    with Rack.open(folder / "shop.rack", create=True) as rack:
        rack.log(entry("A0"))
    start = {p.name: p.read_bytes() for p in folder.iterdir()}
    events = Record(str(folder))
    with recording(events), Rack.open(folder / "shop.rack") as rack:
        keep = rack._engine.connect()
        for n in range(1, 31):
            rack.log(entry(f"A{n}", defects=(KNOT,) * (n % 4), remarks="x" * (n * 379 % 6000)))
            events.mark(f"A{n}")
            if n % 10 == 0:
                # The log is folded into the rack now and then; cuts in the midst of that count too.
                keep.exec_driver_sql("PRAGMA wal_checkpoint(PASSIVE)")
        keep.close()
    return events, start


def test_the_recording_sees_what_matters(record: tuple[Record, dict[str, bytes]]) -> None:
    events = record[0].events
    assert {(name, kind) for name, kind, _, _ in events} >= {
        ("shop.rack-wal", "write"),
        ("shop.rack-wal", "sync"),
        ("shop.rack", "write"),
        ("shop.rack", "sync"),
    }
    # Each confirmation follows a sync of the log with no write between.
    for at, (_, kind, _, _) in enumerate(events):
        if kind == "mark":
            assert events[at - 1][:2] == ("shop.rack-wal", "sync") or events[at - 1][1] in ("sync", "truncate", "delete"), events[
                at - 3 : at
            ]


def test_nothing_confirmed_is_lost_whenever_the_power_goes(record: tuple[Record, dict[str, bytes]], tmp_path: Path) -> None:
    events, start = record
    rng = random.Random(7)
    moments = [rng.randrange(len(events.events) + 1) for _ in range(1500 if LONG else 60)]
    for cut, moment in enumerate(moments):
        files, confirmed = after_cut(events, moment, start, rng)
        folder = tmp_path / f"after {cut}"
        folder.mkdir()
        for name, content in files.items():
            if not name.endswith("-shm"):
                (folder / name).write_bytes(content)
        with Rack.open(folder / "shop.rack") as rack:
            names = [r.name for r in rack.boards()]
            assert names[: len(confirmed) + 1] == ["A0", *confirmed]
            assert len(names) <= len(confirmed) + 2
            assert rack.check() == []


def test_the_simulation_would_find_a_rack_that_does_not_sync(record: tuple[Record, dict[str, bytes]], tmp_path: Path) -> None:
    """The same record with its syncs struck out must lose boards: else the test above could not fail."""
    events, start = record
    unsynced = Record(events.folder, [e for e in events.events if e[1] not in ("sync", "delete")])
    rng = random.Random(7)
    lost = 0
    for cut in range(10):
        files, confirmed = after_cut(unsynced, len(unsynced.events), start, rng)
        folder = tmp_path / f"after {cut}"
        folder.mkdir()
        for name, content in files.items():
            (folder / name).write_bytes(content)
        try:
            with Rack.open(folder / "shop.rack") as rack:
                lost += [r.name for r in rack.boards()][1:] != confirmed
        except Exception:
            lost += 1
    assert lost
