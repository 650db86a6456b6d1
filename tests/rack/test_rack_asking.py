"""Logging by questions, and in one line: what is remembered, what is asked again."""

from __future__ import annotations

import os
import sys
from fractions import Fraction as F
from pathlib import Path

import pytest
from answering import answers
from making import entry, picture

from yieldopt.cli import main
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.io.asking import FACTS, LISTS, ask_boards, next_name
from yieldopt.rack.typed.intake import DEFECT_FORM, parse_defect, parse_edge


def test_two_boards_of_one_kind_take_few_answers(rack: Rack) -> None:
    said: list[str] = []
    first = [
        "A9",
        "White Oak",
        "8/4",
        "8' 2\"",
        "7½",
        "2 1/16",
        "Hill",
        "select",
        "9.50",
        "8.5; 9",
        "wall",
        "knot A 15 2 1 1/2",
        "",
    ]
    # The second one: Enter for the next name, species, quarters, dealer, grade, price and place.
    second = ["", "", "", "70", "6", "", "", "", "", "", "", ""]
    assert ask_boards(rack, "", {}, "in", answers(*first, *second, "."), said.append) == 2
    a, b = rack.boards()
    assert (a.name, a.board.species, a.board.length, a.board.width, a.moisture, a.place) == (
        "A9",
        "white oak",
        98,
        F(15, 2),
        (F(17, 2), 9),
        "wall",
    )
    assert a.board.defects[0].kind == "knot"
    assert (b.name, b.board.species, b.board.quarters, b.board.length, b.dealer, b.board.price_bf) == (
        "A10",
        "white oak",
        "8/4",
        70,
        "Hill",
        F(19, 2),
    )
    assert (b.moisture, b.grade) == ((), "select")
    assert "logged A10" in said


def test_a_bad_answer_is_asked_again_at_once(rack: Rack) -> None:
    said: list[str] = []
    given = [
        "",
        "A1",
        "",
        "ash",
        "4/0",
        "4/4",
        "long",
        "-3",
        "96",
        "8",
        "thick",
        "",
        "",
        "",
        "free",
        "",
        "wet",
        "",
        "",
        "bump 1 2",
        "knot A 95 2 9 1",
        "split 90 2 3 1",
        "",
    ]
    assert ask_boards(rack, "", {}, "in", answers(*given[1:]), said.append) == 1
    assert [d.kind for d in rack.board("A1").board.defects] == ["split"]
    assert sum(line.startswith("  ") for line in said) == 9


ONE = ["ash", "4/4", "60", "6", "", "", "", "", "", ""]


def test_a_name_in_use_is_asked_again_at_once(rack: Rack) -> None:
    rack.log(entry("A1"))
    said: list[str] = []
    assert ask_boards(rack, "", {}, "in", answers("A1", "A2", *ONE, ""), said.append) == 1
    assert "  expected a name that no other board on the rack has" in said
    assert [r.name for r in rack.boards()] == ["A1", "A2"]


def test_a_name_that_was_taken_meanwhile_loses_no_other_board(rack: Rack) -> None:
    said: list[str] = []
    given = answers("A1", *ONE, "", "A2", *ONE, "")

    def ask(question: str) -> str:
        if question.startswith("species") and not rack.boards():
            rack.log(entry("A1"))
        return given(question)

    assert ask_boards(rack, "", {}, "in", ask, said.append) == 1
    assert any("not stored" in line and "A1" in line for line in said)
    assert [r.name for r in rack.boards()] == ["A1", "A2"]


def test_whatever_else_is_known_can_be_typed_too(rack: Rack, tmp_path: Path) -> None:
    (tmp_path / "front.jpg").write_bytes(picture())
    (tmp_path / "none.jpg").write_bytes(b"no photo")
    said: list[str] = []
    facts = [
        "bow 1/4",
        "Crook 3/8",
        "cup 1/16",
        "twist 1/8",
        "points 12: 1 1/16; 48: 1",
        "ends far",
        "sawn rift",
        "stress tested",
    ]
    facts += ["cost 40", "remarks even dark figure", "note colour=pale", "edge 0 0 6", "edge 60 1/2 5-1/2", "check B 10 2 5 1/8"]
    facts += [f"photo {tmp_path / 'front.jpg'}"]
    wrong = ["bow -1", "ends all", "points 99: 1", "sawn sideways", "edge 70 0 6", "edge 0 0", "note pale", "photo", "cost x"]
    wrong += [f"photo {tmp_path / 'none.jpg'}", "photo ~nobody-of-this-name/x.jpg", "knot A 99 2 1 1", "bump"]
    mixed = [line for pair in zip(facts, wrong + ["?"] * 9, strict=False) for line in pair]
    assert ask_boards(rack, "", {}, "in", answers("A1", *ONE, *mixed, "", "A2", *ONE, ""), said.append) == 2
    r, plain = rack.boards()
    b = r.board
    assert (b.bow, b.crook, b.cup, b.twist) == (F(1, 4), F(3, 8), F(1, 16), F(1, 8))
    assert (b.sawn, b.stress, b.far_sound, b.datum_sound, b.cost) == ("rift", "tested", True, False, 40)
    assert (len(r.thickness_points), b.thickness, len(b.edges), b.defects[0].kind) == (2, 1, 2, "check")
    assert (r.remarks, dict(b.notes), [p.name for p in r.photos]) == ("even dark figure", {"colour": "pale"}, ["front.jpg"])
    assert rack.photo(r.photos[0].digest) is not None
    # Each wrong line draws one complaint; each ? lists the forms.
    forms = [line for line in said if line.startswith("  ") and line.strip() in _forms()]
    complaints = [line for line in said if line.startswith("  ") and line not in forms]
    assert len(complaints) == len(wrong)
    assert len(forms) == mixed.count("?") * len(_forms())
    # What is one board's own is not the next one's.
    assert (plain.board.bow, plain.board.edges, plain.photos, plain.remarks) == (0, (), (), "")


def _forms() -> list[str]:
    return [DEFECT_FORM, *(form for _, form in FACTS.values()), *LISTS.values()]


def test_a_metric_shop_is_asked_for_its_own_price(rack: Rack) -> None:
    asked: list[str] = []
    given = answers("A1", "ash", "52", "2400", "210", "", "", "", "1900", "", "", "")

    def ask(question: str) -> str:
        asked.append(question)
        return given(question)

    assert ask_boards(rack, "", {}, "mm", ask, lambda line: None) == 1
    assert "price per cubic metre: " in asked
    assert rack.board("A1").board.price_m3 == 1900


def test_nothing_is_stored_of_a_board_that_was_not_finished(rack: Rack) -> None:
    assert ask_boards(rack, "", {}, "in", answers("A1", "ash", "4/4", "60"), lambda line: None) == 0
    assert rack.boards() == []


@pytest.mark.parametrize(
    ("last", "expected"), [("A9", "A10"), ("W-009", "W-010"), ("7b", "8b"), ("long", ""), ("", ""), ("A1 2", "A1 3")]
)
def test_the_next_name(last: str, expected: str) -> None:
    assert next_name(last) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("knot A 15 7-1/2 1 1/2", ("knot", "A", "15", "7-1/2", "1", "1/2")),
        ("loose knot, B, 15, 7 1/2, 1 1/2, 1/2", ("loose knot", "B", "15", "7 1/2", "1 1/2", "1/2")),
        ("Split 0 3 4 1", ("split", None, "0", "3", "4", "1")),
        # One blank too many is understood where only one reading gives four lengths.
        ("check both 10 3 4 1 1/2", ("check", "both", "10", "3", "4", "1 1/2")),
        ("knot A 15 7 1/2 1 1/2 1", ("knot", "A", "15", "7 1/2", "1 1/2", "1")),
        ("stain a 187mm 20mm 30mm 10mm", ("stain", "a", "187mm", "20mm", "30mm", "10mm")),
    ],
)
def test_a_defect_in_one_line(text: str, expected: tuple[str, ...]) -> None:
    cells = parse_defect(text)
    assert isinstance(cells, dict)
    assert tuple(cells.get(k) for k in ("kind", "face", "x", "y", "length", "width")) == expected


@pytest.mark.parametrize("text", ["", "knot", "bump 1 2 3 4", "knot A 1 2 3", "knot A 15 7 1/2 1/2 1 1/2 1 2", "A 1 2 3 4"])
def test_a_defect_that_can_be_read_two_ways_or_none_is_asked_again(text: str) -> None:
    said = parse_defect(text)
    assert isinstance(said, str)
    assert "KIND FACE X Y LENGTH WIDTH" in said


def test_an_edge_in_one_line() -> None:
    assert parse_edge("36 0 4 3/4") == {"x": "36", "near": "0", "far": "4 3/4"}
    assert parse_edge("36, -1/4, 4-3/4") == {"x": "36", "near": "-1/4", "far": "4-3/4"}
    assert isinstance(parse_edge("36 0"), str)


def test_one_line_takes_over_what_it_is_told_to(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    at = ["--rack", str(file)]
    assert main(["rack", "log", "--board", "A1", "--species", "ash", "--quarters", "52mm", "--length", "2m", *at]) == 2
    first = [
        "--species",
        "ash",
        "--quarters",
        "52",
        "--length",
        "2400",
        "--width",
        "210",
        "--units",
        "mm",
        "--dealer",
        "Hill",
        "--defect",
        "knot A 15 20 10 10",
    ]
    assert main(["rack", "log", "--board", "A1", *first, *at]) == 0
    assert main(["rack", "log", "--board", "A2", "--same", "--length", "60", "--width", "6", *at]) == 0
    with Rack.open(file) as rack:
        a, b = rack.boards()
    assert (a.board.quarters, b.board.quarters, b.board.nominal, b.dealer) == ("52mm", "52mm", F(520, 254), "Hill")
    assert (a.board.length, b.board.length) == (F(24000, 254), 60)
    # The same entry again, as after a time-out: once stored, told twice.
    for _ in range(2):
        assert main(["rack", "log", "--board", "A3", "--key", "k1", "--same", "--length", "60", "--width", "6", *at]) == 0
    assert main(["rack", "log", "--board", "A4", "--key", "k1", "--same", "--length", "60", "--width", "6", *at]) == 2
    with Rack.open(file) as rack:
        assert [r.name for r in rack.boards()] == ["A1", "A2", "A3"]
    capsys.readouterr()
    assert main(["rack", "correct", "A2", "--length", "61", "--dealer", "", "--rename", "B2", "--why", "taped again", *at]) == 0
    assert main(["rack", "history", "B2", *at]) == 0
    said = capsys.readouterr().out
    assert 'length was 60", became 61"' in said
    assert "dealer was Hill, became nothing" in said
    assert "taped again" in said


def test_the_questions_on_a_terminal(file: Path) -> None:
    """Through a real terminal, so that the prompts and the end of input are the terminal's own."""
    import pty

    pid, terminal = pty.fork()
    if pid == 0:
        os.execv(sys.executable, [sys.executable, "-m", "yieldopt", "rack", "log", "--rack", str(file)])
    keys = ["A1", "ash", "4/4", "96", "8", "", "", "", "", "", "", "", "."]
    seen = b""
    for key in keys:
        while not seen.endswith(b": "):
            seen += os.read(terminal, 1024)
        os.write(terminal, key.encode() + b"\n")
        seen = b""
    rest = b""
    try:
        while chunk := os.read(terminal, 1024):
            rest += chunk
    except OSError:
        pass  # The other end closed: Linux says EIO.
    assert os.waitpid(pid, 0)[1] == 0
    assert b"1 board logged" in rest
    with Rack.open(file) as rack:
        assert [r.name for r in rack.boards()] == ["A1"]
