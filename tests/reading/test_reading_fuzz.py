"""Whatever is in the files, reading gives a job or an `InputError` whose every problem prints; nothing else ever escapes."""

from __future__ import annotations

import os
import random
import shutil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yieldopt.ground.errors import InputError
from yieldopt.reading import read_job
from yieldopt.wood.lumber import Job

SOUND = Path(__file__).parent / "sound"
FILES = {p.name: p.read_text() for p in sorted(SOUND.iterdir())}
# fmt: off
NASTY = (
    "", " ", "nan", "inf", "-inf", "1e999", "-1e999", "1e9", "-1", "0", "-0", "1/0", "0/0", "9" * 61, "9" * 5000, "7 3/8",
    "½", "-½", "1e-5", "0x1", "=1+1", "'", "''=", "\0", "\x07", "\u202e", "\ufeff", "é", "木", "#", "#1", "a#0", "door#1/0",
    "door#99999999999", ";", ";;", "E1;E1", "E1", "both", "A", "book", "slip", "run", "board", "any", "2 to 5", "5 to 2",
    "to", "1 to", "2 to 5 to 9", '"', '""', "\n", "\r", ",", "None", "true", "8/4", "4/0", "999/4", "52mm", "mm", "8'", "'8",
    "1,000", "$5", "50%", "1e400mm", "١", "x" * 300,
)
# fmt: on


def outcome(folder: Path) -> Job | InputError:
    """What reading gives; anything but a job or an input error escapes and fails the test."""
    try:
        return read_job(folder)
    except InputError as error:
        refused = error
    assert refused.problems
    assert all(str(p) for p in refused.problems)
    return refused


def spoil(rng: random.Random, text: str) -> str:
    """One to four cells of a table replaced, doubled, dropped or swapped."""
    lines = text.split("\n")
    for _ in range(rng.randint(1, 4)):
        row = rng.randrange(len(lines))
        cells = lines[row].split(",")
        i = rng.randrange(len(cells))
        match rng.randrange(6):
            case 0 | 1 | 2:
                cells[i] = rng.choice(NASTY)
            case 3:
                cells.insert(i, rng.choice(NASTY))
            case 4:
                del cells[i]
            case _:
                lines.insert(row, rng.choice(lines))
        lines[row] = ",".join(cells)
    return "\n".join(lines)


@given(seed=st.integers(0, 2**32))
@settings(max_examples=250)
def test_spoilt_cells(seed: int, tmp_path_factory: pytest.TempPathFactory) -> None:
    rng = random.Random(seed)
    folder = tmp_path_factory.mktemp("job")
    try:
        for name, text in FILES.items():
            spoilt = name != "job.toml" and rng.random() < 0.4
            (folder / name).write_bytes((spoil(rng, text) if spoilt else text).encode("utf-8", "replace"))
        outcome(folder)
    finally:
        shutil.rmtree(folder)


@given(seed=st.integers(0, 2**32), name=st.sampled_from(sorted(FILES)), junk=st.binary(max_size=12))
@settings(max_examples=120)
def test_spoilt_bytes(seed: int, name: str, junk: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    rng = random.Random(seed)
    folder = tmp_path_factory.mktemp("job")
    try:
        for each, text in FILES.items():
            (folder / each).write_text(text)
        data = FILES[name].encode()
        at = rng.randrange(len(data))
        (folder / name).write_bytes(data[:at] + junk + data[at + rng.randrange(8) :])
        outcome(folder)
    finally:
        shutil.rmtree(folder)


@given(
    text=st.text(max_size=60), name=st.sampled_from(["allowances", "kerf", "machines", "values", "boards", "name", "units", "x"])
)
@settings(max_examples=120)
def test_spoilt_settings(text: str, name: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("job")
    try:
        for each, whole in FILES.items():
            (folder / each).write_text(whole)
        (folder / "job.toml").write_bytes(f'name = "n"\n[{name}]\n{text}\n'.encode("utf-8", "replace"))
        outcome(folder)
    finally:
        shutil.rmtree(folder)


def malformed_rows(count: int) -> list[str]:
    """Rows for parts.csv, each with at least one mistake that can be seen in the row alone."""
    rng = random.Random(10_000)
    sound = ["rail", "2", "oak", "3/4", "2", "26"]
    wrong = {0: ["", "\x07", "x" * 300], 1: ["", "0", "-1", "1e9", "2.5", "nan"], 2: ["", "\u202e"]}
    wrong |= {size: ["", "0", "-2", "nan", "inf", "1e999", "1/0", "99999", "wide", "7.5.1"] for size in (3, 4, 5)}
    rows = []
    for n in range(count):
        cells = [f"rail {n}", *sound[1:]]
        for column in rng.sample(range(6), rng.randint(1, 3)):
            cells[column] = rng.choice(wrong[column])
        rows.append(",".join(cells))
    return rows


@pytest.mark.parametrize("count", [500, pytest.param(10_000, marks=pytest.mark.long)])
def test_every_malformed_row_is_named(count: int, tmp_path: Path) -> None:
    folder = Path(shutil.copytree(SOUND, tmp_path / "job"))
    (folder / "pins.csv").unlink()
    (folder / "parts.csv").write_text("part,qty,species,thickness,width,length\n" + "\n".join(malformed_rows(count)) + "\n")
    error = outcome(folder)
    assert isinstance(error, InputError)
    assert {p.row for p in error.problems} == set(range(2, count + 2))
    assert {p.file for p in error.problems} == {"parts.csv"}


@pytest.mark.long
def test_ten_thousand_spoilt_jobs(tmp_path: Path) -> None:
    rng = random.Random(int(os.environ.get("YIELDOPT_SEED", "1")))
    read, refused = 0, 0
    for n in range(10_000):
        folder = tmp_path / "job"
        folder.mkdir()
        for name, text in FILES.items():
            spoilt = name != "job.toml" and rng.random() < 0.4
            (folder / name).write_bytes((spoil(rng, text) if spoilt else text).encode("utf-8", "replace"))
        result = outcome(folder)
        read, refused = read + isinstance(result, Job), refused + isinstance(result, InputError)
        shutil.rmtree(folder)
        assert read + refused == n + 1
    assert read > 0
    assert refused > 0
