"""Atomic writes: whatever fails on the way, what was there before is there after, and nothing half-written is left."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.ground.files import write_all_atomically, write_atomically


class DiskFull(OSError):
    """Raised by the stand-ins below where a disk would run full."""


def names_in(folder: Path) -> set[str]:
    return {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()}


def test_text_is_utf_8_bytes_are_themselves_and_folders_are_made(tmp_path: Path) -> None:
    write_atomically(tmp_path / "new" / "a.txt", "7½\n")
    write_atomically(tmp_path / "b", b"\x00\xff")
    assert (tmp_path / "new" / "a.txt").read_bytes() == "7½\n".encode()
    assert (tmp_path / "b").read_bytes() == b"\x00\xff"
    assert names_in(tmp_path) == {"new/a.txt", "b"}


def test_others_may_read_what_is_written(tmp_path: Path) -> None:
    write_atomically(tmp_path / "a", "x")
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o644


def test_content_is_on_disk_before_it_takes_the_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    order: list[str] = []
    fsync, replace = os.fsync, os.replace
    monkeypatch.setattr(os, "fsync", lambda fd: (order.append("fsync"), fsync(fd))[1])
    monkeypatch.setattr(os, "replace", lambda a, b: (order.append("replace"), replace(a, b))[1])
    write_atomically(tmp_path / "a", "x")
    assert order[:2] == ["fsync", "replace"]


@pytest.mark.parametrize("step", ["fsync", "chmod", "replace"])
def test_a_failing_disk_leaves_the_old_file_and_no_other(step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_atomically(tmp_path / "a", "old")

    def fail(*_: object) -> None:
        raise DiskFull

    monkeypatch.setattr(os, step, fail)
    with pytest.raises(DiskFull):
        write_atomically(tmp_path / "a", "new")
    assert (tmp_path / "a").read_text() == "old"
    assert names_in(tmp_path) == {"a"}


def test_a_stop_by_the_user_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stop)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(tmp_path / "a", "new")
    assert names_in(tmp_path) == set()


def test_a_folder_s_files_appear_together_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_all_atomically(tmp_path, {"a": "1", "sub/b": b"2"})
    assert names_in(tmp_path) == {"a", "sub/b"}
    calls = 0
    fsync = os.fsync

    def fail_later(fd: int) -> None:
        nonlocal calls
        calls += 1
        if calls == 3:
            raise DiskFull
        fsync(fd)

    monkeypatch.setattr(os, "fsync", fail_later)
    with pytest.raises(DiskFull):
        write_all_atomically(tmp_path, {"a": "new", "sub/b": "new", "c": "new"})
    assert ((tmp_path / "a").read_text(), (tmp_path / "sub/b").read_text()) == ("1", "2")
    assert names_in(tmp_path) == {"a", "sub/b"}


def test_a_path_through_a_file_is_an_os_error_and_leaves_the_rest(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(OSError, match="file"):
        write_all_atomically(tmp_path, {"a": "1", "file/b": "2"})
    assert names_in(tmp_path) == {"file"}


@given(st.dictionaries(st.text(alphabet="abcß木-", min_size=1, max_size=60), st.binary(max_size=30), max_size=4))
def test_what_is_written_is_what_is_read(tmp_path_factory: pytest.TempPathFactory, files: dict[str, bytes]) -> None:
    folder = tmp_path_factory.mktemp("out")
    write_all_atomically(folder, files)
    assert {name: (folder / name).read_bytes() for name in names_in(folder)} == files
