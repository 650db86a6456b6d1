"""A board once confirmed is never lost: killed loggers, many writers, a full disk, a read-only file."""

from __future__ import annotations

import hashlib
import os
import random
import resource
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from making import entry
from workers import CONTEXT, kill_at_random, log_some

from yieldopt.rack.board.errors import RackOutOfReach
from yieldopt.rack.door.facade import Rack


def _killed_runs(where: str, tmp_path: Path, runs: int, seed: int) -> int:
    rng = random.Random(seed)
    total = 0
    Rack.open(where, create=True).close()
    for run in range(runs):
        confirmed = kill_at_random(where, f"run{run}", tmp_path / f"confirmed {run}", rng)
        total += len(confirmed)
        if not confirmed:
            continue
        with Rack.open(where) as rack:
            stored = [r.name for r in rack.boards() if r.name.startswith(f"run{run}-")]
            # Everything that was confirmed, and at most the one more that was stored and not yet told.
            assert stored[: len(confirmed)] == confirmed
            assert len(stored) <= len(confirmed) + 1
            assert rack.check() == []
    with Rack.open(where) as rack:
        assert len({r.name for r in rack.boards()}) == len(rack.boards()) >= total
        assert rack.check() == []
    return total


def test_no_confirmed_board_is_lost_when_loggers_are_killed(file: Path, tmp_path: Path) -> None:
    assert _killed_runs(str(file), tmp_path, runs=30, seed=1) > 30


@pytest.mark.long
def test_no_confirmed_board_is_lost_in_500_killed_runs(where: str, tmp_path: Path) -> None:
    assert _killed_runs(where, tmp_path, runs=500, seed=2) > 500


def test_a_rack_that_is_being_made_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    """Killed while the rack is made, at many moments: what is there opens."""
    rng = random.Random(3)
    for run in range(15):
        where = tmp_path / f"new {run}.rack"
        process = CONTEXT.Process(target=log_some, args=(str(where), "A", 1, CONTEXT.Barrier(1)))
        process.start()
        process.join(rng.uniform(0.005, 0.2))
        if process.pid is not None and process.is_alive():
            os.kill(process.pid, signal.SIGKILL)
        process.join()
        if where.exists():
            with Rack.open(where) as rack:
                assert rack.check() == []


def _writers(where: str, writers: int, each: int) -> None:
    start = CONTEXT.Barrier(writers)
    processes = [CONTEXT.Process(target=log_some, args=(where, f"w{w}", each, start)) for w in range(writers)]
    for process in processes:
        process.start()
    for process in processes:
        process.join()
    assert [p.exitcode for p in processes] == [0] * writers
    with Rack.open(where) as rack:
        # None lost, none doubled.
        assert sorted(r.name for r in rack.boards()) == sorted(f"w{w}-{n}" for w in range(writers) for n in range(each))
        assert rack.check() == []


def test_writers_at_once_lose_and_double_nothing(where: str) -> None:
    """The rack does not exist when they all start, so they also race to make it."""
    _writers(where, writers=8, each=4)


@pytest.mark.long
def test_fifty_writers_at_once(where: str) -> None:
    _writers(where, writers=50, each=10)


@contextmanager
def largest_file(size: int) -> Iterator[None]:
    """No file of this process may grow past `size` bytes: writes beyond fail, as on a full disk."""
    old = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, old[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, old)
        signal.signal(signal.SIGXFSZ, handler)


@pytest.mark.parametrize("room", [0, 1_000, 40_000, 200_000])
def test_when_no_more_can_be_written_nothing_is_stored_by_halves(file: Path, room: int) -> None:
    with Rack.open(file, create=True) as rack:
        rack.log(entry("A0"))
        confirmed = ["A0"]
        with largest_file(max(file.stat().st_size, 0) + room):
            for n in range(1, 60):
                try:
                    rack.log(entry(f"A{n}", remarks="y" * 5_000))
                except RackOutOfReach:
                    break
                confirmed.append(f"A{n}")
            else:
                pytest.fail("the limit was never met")
        assert [r.name for r in rack.boards()] == confirmed
        assert rack.check() == []
        # With room again, work goes on.
        rack.log(entry("B1"))
    with Rack.open(file) as rack:
        assert [r.name for r in rack.boards()] == [*confirmed, "B1"]
        assert rack.check() == []


def test_a_full_disk(tmp_path: Path) -> None:
    """A real one: a tiny file system in memory. Needs the right to mount."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=600k", "none", str(disk)], capture_output=True).returncode:
        pytest.skip("may not mount a small disk here")
    try:
        confirmed = []
        with Rack.open(disk / "shop.rack", create=True) as rack:
            with suppress(RackOutOfReach):
                for n in range(1_000):
                    rack.log(entry(f"A{n}", remarks="z" * 3_000))
                    confirmed.append(f"A{n}")
                pytest.fail("the disk was never full")
            with pytest.raises(RackOutOfReach, match=r"no room left on the disk; nothing was stored|can't be written"):
                rack.log(entry("B1", remarks="z" * 5_000))
            assert [r.name for r in rack.boards()] == confirmed
            assert len(confirmed) > 5
            assert rack.check() == []
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def _as_a_plain_user() -> list[str]:
    """What to put before a command so that file permissions bind it, also where the tests run as root."""
    return ["setpriv", "--bounding-set=-dac_override", "--inh-caps=-dac_override"] if os.getuid() == 0 else []


@pytest.mark.parametrize("folder_too", [False, True], ids=["file", "file and folder"])
def test_a_read_only_rack_can_be_read_and_refuses_changes_untouched(folder_too: bool, tmp_path: Path) -> None:
    file = tmp_path / "shop" / "shop.rack"
    with Rack.open(file, create=True) as rack:
        rack.log(entry("A1"))
    file.chmod(0o444)
    file.parent.chmod(0o555 if folder_too else 0o755)
    before = hashlib.sha256(file.read_bytes()).hexdigest()

    size = ["--species", "ash", "--quarters", "4/4", "--length", "60", "--width", "6"]
    runs = [["list", "--names"], ["show", "A1"], ["log", "--board", "A2", *size], ["retire", "A1", "--why", "sold"], ["undo"]]
    code = f"from yieldopt.cli import main\nprint([main(['rack', *words, '--rack', {str(file)!r}]) for words in {runs!r}])"
    done = subprocess.run([*_as_a_plain_user(), sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stdout.startswith("A1\nboard A1 "), done.stderr
    assert done.stdout.endswith("[0, 0, 2, 2, 2]\n")
    assert done.stderr == f"yieldopt: {file}: it is read-only; nothing was stored\n" * 3
    assert hashlib.sha256(file.read_bytes()).hexdigest() == before
    file.parent.chmod(0o755)


def test_a_board_is_stored_once_the_command_says_so(file: Path) -> None:
    """Through the command line itself, killed the moment it has spoken."""
    words = ["--species", "ash", "--quarters", "4/4", "--length", "96", "--width", "8"]
    for n in range(3):
        command = [sys.executable, "-m", "yieldopt", "rack", "log", "--rack", str(file), "--board", f"A{n}", *words]
        with subprocess.Popen(command, stdout=subprocess.PIPE, env={**os.environ, "PYTHONUNBUFFERED": "1"}) as process:
            assert process.stdout is not None
            assert process.stdout.readline() == f"logged A{n}\n".encode()
            process.kill()
    with Rack.open(file) as rack:
        assert [r.name for r in rack.boards()] == ["A0", "A1", "A2"]
        assert rack.check() == []
