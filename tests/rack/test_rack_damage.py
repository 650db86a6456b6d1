"""A file damaged anywhere, by a byte or by many: every command says so or works, and none makes it worse."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest
from making import KNOT, entry

from yieldopt.cli import main
from yieldopt.rack.db import rackfile
from yieldopt.rack.door.facade import Rack

TRIALS = 400 if os.environ.get("YIELDOPT_TESTS") == "long" else 8
LOG = ["log", "--board", "Z", "--species", "ash", "--quarters", "4/4", "--length", "60", "--width", "6"]
READING = (["list"], ["show", "A7"], ["history", "--what"], ["check"], ["yields"], ["dump", "out"], ["backup", "copy"])
CHANGING = (LOG, ["undo"], ["retire", "A3", "--why", "sold"], ["hold", "bench", "A3"], ["correct", "A7", "--length", "50"])


@pytest.mark.parametrize("checked", [True, False], ids=["quick check on opening", "too large for it"])
def test_damage_draws_a_message_and_gets_no_worse(
    checked: bool, file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with Rack.open(file, create=True) as rack:
        for n in range(30):
            rack.log(entry(f"A{n}", defects=(KNOT,) * (n % 4), dealer="Hill", remarks="x" * n * 20))
        rack.hold("sideboard", ["A1"])
        rack.retire(["A2"], "sold")
    sound = file.read_bytes()
    monkeypatch.chdir(file.parent)
    if not checked:
        monkeypatch.setattr(rackfile, "LARGEST_QUICK_CHECK", 0)
    rng = random.Random(4 + checked)
    refused = 0
    for _ in range(TRIALS):
        damaged = bytearray(sound)
        for _ in range(rng.choice([1, 1, 3, 40])):
            damaged[rng.randrange(100, len(damaged))] = rng.randrange(256)
        for words in (*READING, *CHANGING):
            for old in file.parent.iterdir():
                if old.is_file():
                    old.unlink()
            file.write_bytes(damaged)
            status = main(["rack", *words, "--rack", str(file)])
            said = capsys.readouterr().err
            assert status in (0, 1, 2), words
            assert "Traceback" not in said
            refused += status == 2
            if status == 2:
                assert said.startswith("yieldopt: ") or "mistake" in said
            if status == 2 or words in READING:
                assert file.read_bytes() == damaged, words
            if status == 2 and words[0] == "backup":
                assert not (file.parent / "copy").exists()
    # Damage in what no command reads goes by; most is met.
    assert refused > TRIALS
