"""What should not be there: hostile text in every field, photos that are none, broken rows. An error each, nothing stored."""

from __future__ import annotations

import io
import os
import random
import struct
import zlib
from pathlib import Path

import pytest
from making import entry, picture

from yieldopt.cli import main
from yieldopt.ground.errors import InputError, UsageError
from yieldopt.rack.books.photos import LARGEST_IN_BYTES, look_at
from yieldopt.rack.books.search import BoardSearch
from yieldopt.rack.commands.fields import FIELDS
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.io.exchange import dump, load
from yieldopt.rack.typed.intake import Typed, to_record

GOOD = {"board": "A1", "species": "ash", "quarters": "4/4", "length": "96", "width": "8"}
# Control characters, a terminal's escape, NUL, turned writing, lone surrogates.
UNPRINTABLE = ["a\x1b[2Jb", "a\x00b", "a\x07", "x\u202ey", "\ud800", "a\u2028b", "\ufeffz"]
# Odd but printable: they must come back as they were.
ODD = [
    "'; DROP TABLE boards; --",
    "=1+1",
    "@x",
    "-2",
    "<script>alert(1)</script>",
    "../../etc/passwd",
    "%s%n{}",
    "狭い板",
    "e\u0301",
    "\U0001f333",
    '"q"',
    "a,b",
    "NULL",
]
TEXTS = ("dealer", "grade", "place", "remarks", "why")


@pytest.mark.parametrize("text", UNPRINTABLE)
@pytest.mark.parametrize("column", ["board", "species", *TEXTS, "moisture", "thickness_points", "quarters", "length"])
def test_text_that_cannot_be_printed_is_refused_in_every_field(column: str, text: str) -> None:
    with pytest.raises(InputError) as caught:
        to_record(Typed({**GOOD, column: text}), "in", "form")
    assert {p.column for p in caught.value.problems} == {column}


def test_odd_text_comes_back_as_it_was(rack: Rack, tmp_path: Path) -> None:
    made = []
    for n, text in enumerate(ODD):
        cells = {**GOOD, "board": f"{text.replace(';', '')} {n}", **dict.fromkeys(TEXTS, text), f"note {text}": text}
        made.append(rack.log(to_record(Typed(cells), "in", "form")))
    assert rack.boards() == made
    assert [r.dealer for r in made] == ODD
    for r in made:
        assert rack.boards(BoardSearch(text=r.name)) == [r]
    dump(rack, tmp_path / "out")
    with Rack.open(tmp_path / "copy.rack", create=True) as copy:
        load(copy, tmp_path / "out")
        assert copy.boards() == made
        assert [dict(r.board.notes) for r in copy.boards()] == [dict(r.board.notes) for r in made]


@pytest.mark.parametrize("option", [*FIELDS, "--board", "--defect", "--edge", "--note", "--key", "--id", "--who", "--photo"])
def test_a_hostile_value_of_every_option_is_an_error_and_leaves_no_file(
    option: str, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [w for k, v in GOOD.items() for w in (f"--{k}", v)]
    for text in ("a\x1b[2Jb", "x" * 20_000, "\ud800"):
        assert main(["rack", "log", *words, option, text, "--rack", str(file)]) == 2, (option, text[:10])
        assert "Traceback" not in capsys.readouterr().err
    assert list(file.parent.iterdir()) == []


def bomb() -> bytes:
    """A PNG of some hundred bytes that says it is 60,000 by 60,000 pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(bytes(100))) + chunk(b"IEND", b"")


def other_kind() -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.new("P", (9, 9)).save(out, "GIF")
    return out.getvalue()


NO_PHOTOS = {
    "empty": b"",
    "text": b"hello",
    "page": b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    "cut short": picture()[:200],
    "head only": picture()[:20],
    "script": b"#!/bin/sh\nrm -rf /\n",
    "another kind": other_kind(),
    "bomb": bomb(),
    "archive": b"PK\x03\x04" + bytes(99),
    "png head": b"\x89PNG\r\n\x1a\n" + bytes(50),
}


@pytest.mark.parametrize("content", NO_PHOTOS.values(), ids=NO_PHOTOS.keys())
def test_what_is_no_photo_is_refused(content: bytes, file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(UsageError, match=r"x\.jpg"):
        look_at("x.jpg", content)
    (tmp_path / "x.jpg").write_bytes(content)
    words = [w for k, v in GOOD.items() for w in (f"--{k}", v)]
    assert main(["rack", "log", *words, "--photo", str(tmp_path / "x.jpg"), "--rack", str(file)]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert not file.exists()


def test_photos_of_the_usual_kinds_are_taken_whatever_their_ending() -> None:
    for kind in ("JPEG", "PNG", "WEBP"):
        assert look_at("x.dat", picture(kind=kind)).kind == kind


def test_a_photo_too_large_in_bytes_is_refused() -> None:
    with pytest.raises(UsageError, match="bytes"):
        look_at("x.jpg", picture() + bytes(LARGEST_IN_BYTES))


@pytest.mark.parametrize("name", ["../x.jpg", "a/b", "", "a\x00", ".hidden", "a;b", "x" * 300])
def test_a_photo_s_name_is_a_plain_file_name(name: str) -> None:
    with pytest.raises(UsageError, match="not a name for a photo"):
        look_at(name, picture())


def test_photos_go_out_and_come_back(rack: Rack, tmp_path: Path) -> None:
    rack.log(entry("A1"))
    rack.add_photo("A1", look_at("front.jpg", picture(1)))
    rack.add_photo("A1", look_at("end grain.png", picture(2, "PNG")))
    dump(rack, tmp_path / "out")
    with Rack.open(tmp_path / "copy.rack", create=True) as copy:
        load(copy, tmp_path / "out")
        assert copy.boards() == rack.boards()
        assert copy.check() == []
        kept = copy.photo(rack.board("A1").photos[1].digest)
        assert kept is not None
        assert kept.content == picture(2, "PNG")
    # One that was swapped is noticed.
    next((tmp_path / "out" / "photos").glob("*.png")).write_bytes(picture(3, "PNG"))
    with Rack.open(tmp_path / "third.rack", create=True) as third:
        with pytest.raises(InputError, match="this one differs"):
            load(third, tmp_path / "out")
        assert third.boards() == []


def test_a_table_s_photos_stay_in_their_folder(rack: Rack, tmp_path: Path) -> None:
    (tmp_path / "secret.jpg").write_bytes(picture())
    folder = tmp_path / "in"
    folder.mkdir()
    for name in ("../secret.jpg", str(tmp_path / "secret.jpg"), "..", "x\\y.jpg"):
        (folder / "boards.csv").write_text(
            f"board,species,quarters,length,width,photos\nA1,ash,4/4,96,8,{name}\n", encoding="utf-8"
        )
        with pytest.raises(InputError, match="photos"):
            load(rack, folder)
    assert rack.boards() == []


BAD_CELLS = {
    "board": ["", "a\x07", "x" * 300, "a;b"],
    "species": ["", "s" * 300],
    "quarters": ["", "4/0", "zz", "-1/4", "900/4", "1e9"],
    "length": ["", "long", "-3", "0", "1e999", "7 3/0", "nan", "½½"],
    "width": ["", "wide", "-1", "0", "inf"],
    "thickness": ["thick", "-1", "0"],
    "sawn": ["sideways"],
    "stress": ["much"],
    "bow": ["-1", "x"],
    "cost": ["free", "-5", "1e400"],
    "sound_ends": ["all"],
    "moisture": ["wet", "-4", "999", "8;x", "1/0"],
    "thickness_points": ["12", "12:", "999: 2", "a: b", "3: -1"],
    "rack_id": ["17", "z" * 36],
    "state": ["lost"],
    "parent_place": ["1; 2", "x"],
    "dealer": ["d" * 300, "d\x1b"],
    "photos": ["../x", "none.jpg"],
}


def broken_rows(rng: random.Random, count: int) -> list[list[str]]:
    header = [*GOOD, *(k for k in BAD_CELLS if k not in GOOD)]
    rows = [header]
    for n in range(count):
        row = {**GOOD, "board": f"A{n}"}
        for column in rng.sample(list(BAD_CELLS), rng.randint(1, 3)):
            row[column] = rng.choice(BAD_CELLS[column])
        rows.append([row.get(c, "") for c in header])
        if rng.random() < 0.1:
            rows[-1] = rows[-1][: rng.randint(2, len(header) - 1)] if rng.random() < 0.5 else [*rows[-1], "one more"]
    return rows


def test_ten_thousand_broken_rows_are_an_error_each_and_nothing_is_stored(tmp_path: Path) -> None:
    import csv

    rng = random.Random(5)
    with Rack.open(tmp_path / "shop.rack", create=True) as rack:
        rack.log(entry("B1"))
        before = rack.boards(), rack.history()
        folder = tmp_path / "in"
        folder.mkdir()
        for _ in range(10):
            rows = broken_rows(rng, 1_000)
            good = rng.randrange(2, 1_000)
            rows.insert(good, ["good", "ash", "4/4", "96", "8", *[""] * (len(rows[0]) - 5)])
            with (folder / "boards.csv").open("w", newline="", encoding="utf-8") as f:
                csv.writer(f).writerows(rows)
            with pytest.raises(InputError) as caught:
                load(rack, folder)
            problems = caught.value.problems
            assert {p.file for p in problems} == {"boards.csv"}
            assert {p.row for p in problems} == set(range(2, len(rows) + 1)) - {good + 1}
            assert all(len(str(p)) < 500 for p in problems)
        assert (rack.boards(), rack.history()) == before
        assert rack.check() == []


def test_bytes_at_random_are_an_error_and_nothing_is_stored(tmp_path: Path) -> None:
    rng = random.Random(6)
    with Rack.open(tmp_path / "shop.rack", create=True) as rack:
        folder = tmp_path / "in"
        folder.mkdir()
        for _ in range(2_000 if os.environ.get("YIELDOPT_TESTS") == "long" else 200):
            name = rng.choice(["boards.csv", "boards.csv", "boards.xlsx"])
            content = rng.randbytes(rng.randrange(200))
            if rng.random() < 0.5:
                content = b"board,species,quarters,length,width\n" + content
            for old in folder.iterdir():
                old.unlink()
            (folder / name).write_bytes(content)
            try:
                load(rack, folder)
            except InputError:
                continue
            # A header over nothing, or over blank lines, holds no board.
            assert not content[36:].strip()
        assert rack.boards() == []
