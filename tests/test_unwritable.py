"""An output that can't be written gets a sentence, before any work is done for it, and nothing is left behind."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from yieldopt.cli import main
from yieldopt.ground import unwritable
from yieldopt.ground.errors import UsageError
from yieldopt.ground.unwritable import refuse_output, sentence

# Each with the place of its output last; what else they name need not be there, for the output is looked at first.
COMMANDS = [
    ["plan", "job", "--out"],
    ["chalk", "plan.json", "--out"],
    ["replan", "plan.json", "--happened", "rail#2: spoiled", "--out"],
    ["source", "job", "--out"],
    ["fragile", "plan.json", "--out"],
    ["demo", "--out"],
    ["new"],
]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c[0])
@pytest.mark.parametrize("below", [False, True], ids=["a file", "below a file"])
def test_a_file_where_a_folder_is_wanted(
    command: list[str], below: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    there = tmp_path / "packet.txt"
    there.write_text("mine")
    out = there / "deep" / "er" if below else there
    assert main([*command, str(out)]) == 2
    said = capsys.readouterr().err
    what = "FOLDER" if command == ["new"] else "--out"
    assert said == f"yieldopt: {what} {out}: {there} is a file, expected a folder, there or new; nothing was written\n"
    assert (there.read_text(), [p.name for p in tmp_path.iterdir()]) == ("mine", ["packet.txt"])


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c[0])
def test_a_folder_that_may_not_be_written(
    command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As its owner forbids it, or the disk is full; a test that runs as root can't forbid itself anything."""
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    monkeypatch.setattr(unwritable, "why_not_written", lambda _: full)
    assert main([*command, str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert f"nothing can be written in {tmp_path} (no space left on device); expected a folder that you may write in" in said
    assert list(tmp_path.iterdir()) == []


def test_trying_leaves_nothing_behind(tmp_path: Path) -> None:
    refuse_output(tmp_path / "new" / "one")
    assert list(tmp_path.iterdir()) == []


def test_a_place_where_nobody_can_write() -> None:
    with pytest.raises(UsageError, match="nothing can be written in /proc"):
        refuse_output(Path("/proc/out"))


@pytest.mark.parametrize(
    ("code", "said"),
    [
        (errno.ENOENT, "x: it is not there"),
        (errno.ENOTDIR, "x: a part of that path is a file, where a folder was expected"),
        (errno.EACCES, "x: you may not read or write it; choose another place, or have it opened to you"),
        (errno.ENOSPC, "x: the disk is full; make room and try again"),
        (errno.EIO, f"{os.strerror(errno.EIO)}: x"),
    ],
)
def test_sentences(code: int, said: str) -> None:
    assert sentence(OSError(code, os.strerror(code), "x")) == said
