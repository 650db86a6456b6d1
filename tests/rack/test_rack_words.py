"""What the rack says and offers: prices of another wood, a species that nobody knows, fractions, holds that undo leaves out."""

from __future__ import annotations

import re
from pathlib import Path

import docs_tables
import pytest
from answering import answers
from making import entry

from yieldopt.cli import COMMANDS, main
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.io.asking import ask_boards

SOURCES = Path(__file__).parents[2] / "yieldopt"
# After the name, species and quarters: length, width, thickness; dealer, grade; price; moisture, place; defects.
REST = ("60", "6", "", "", "", "", "", "", "")


def test_a_price_is_offered_for_the_same_wood_only(rack: Rack) -> None:
    asked: list[str] = []
    given = answers(
        *("A1", "white oak", "8/4", "60", "6", "", "", "", "9.50", "", "", ""),
        *("", "", "", *REST),
        *("", "", "4/4", *REST),
        *("", "hard maple", "8/4", *REST),
    )

    def ask(question: str) -> str:
        asked.append(question)
        return given(question)

    assert ask_boards(rack, "", {}, "in", ask, lambda _: None) == 4
    assert [q for q in asked if q.startswith("price")] == [
        "price per board foot: ",
        "price per board foot [9.50]: ",
        "price per board foot: ",
        "price per board foot: ",
    ]
    assert [r.board.price_bf for r in rack.boards()][2:] == [None, None]


def test_same_takes_no_price_of_another_wood(tmp_path: Path) -> None:
    where = ("--rack", str(tmp_path / "shop.rack"))
    first = ("--species", "cherry", "--quarters", "8/4", "--length", "60", "--width", "6", "--price-bf", "9.50")
    assert main(["rack", "log", *where, "--board", "K1", *first]) == 0
    assert main(["rack", "log", *where, "--board", "K2", "--same", "--length", "70", "--width", "6"]) == 0
    assert main(["rack", "log", *where, "--board", "K3", "--same", "--quarters", "4/4", "--length", "70", "--width", "6"]) == 0
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert [r.board.price_bf for r in rack.boards()] == [9.5, 9.5, None]


def test_a_species_not_known_is_asked_about_once(rack: Rack) -> None:
    rack.log(entry("A1"))
    asked: list[str] = []
    given = answers(
        *("B1", "cheery", "cherry", "4/4", *REST),
        *("B2", "olive ash", "", "4/4", *REST),
        *("B3", "olive ash", "4/4", *REST),
    )

    def ask(question: str) -> str:
        asked.append(question)
        return given(question)

    assert ask_boards(rack, "", {}, "in", ask, lambda _: None) == 3
    assert [r.board.species for r in rack.boards()][1:] == ["cherry", "olive ash", "olive ash"]
    doubts = [q for q in asked if "no board and no wood" in q]
    assert len(doubts) == 2
    assert "is called cheery; was cherry meant? Its name (Enter keeps cheery): " in doubts[0]


def test_a_species_not_known_is_told_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sizes = ("--rack", str(tmp_path / "shop.rack"), "--quarters", "4/4", "--length", "60", "--width", "6")
    assert main(["rack", "log", *sizes, "--board", "K1", "--species", "wallnut"]) == 0
    assert "note: no board and no wood of the table is called wallnut; was walnut meant?" in capsys.readouterr().out
    assert main(["rack", "log", *sizes, "--board", "K2", "--species", "wallnut"]) == 0
    assert "note" not in capsys.readouterr().out


def test_history_speaks_in_fractions(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    where = ("--rack", str(tmp_path / "shop.rack"))
    first = ("--species", "ash", "--quarters", "4/4", "--length", "60", "--width", "6", "--thickness", "15/16")
    assert main(["rack", "log", *where, "--board", "A1", *first, "--moisture", "7.5"]) == 0
    more = ("--thickness", "1 1/16", "--defect", "knot A 15 3-1/2 1 1/2", "--moisture", "8.25", "--price-bf", "9.50")
    assert main(["rack", "correct", "A1", *where, *more]) == 0
    capsys.readouterr()
    assert main(["rack", "history", "A1", *where]) == 0
    said = capsys.readouterr().out
    assert 'A1: thickness was 15/16", became 1 1/16"' in said
    assert 'became knot A 15" 3 1/2" 1" 1/2"' in said
    assert "moisture was 7.5, became 8.25" in said
    assert "price bf was nothing, became 9.5" in said
    assert "17/16" not in said
    assert main(["rack", "history", "A1", *where, "--units", "mm"]) == 0
    assert "became ~27 mm" in capsys.readouterr().out


def test_undoing_a_cut_says_which_holds_it_does_not_bring_back(rack: Rack, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("A1", "A2", "A3"):
        rack.log(entry(name))
    rack.hold("hall bench", ["A1", "A2"])
    rack.retire(["A1"], "sold", job="hall bench")
    rack.retire(["A3"], "sold")
    rack.undo()
    assert rack.held_before(rack.history()[0].undoes or 0) == {}
    change = rack.undo()
    assert rack.held_before(change.undoes or 0) == {"hall bench": ["A1"]}
    rack.hold("hall bench", ["A1"])
    assert rack.held_before(change.undoes or 0) == {}


def test_undo_at_the_prompt_names_the_command_that_holds_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    where = ("--rack", str(tmp_path / "shop.rack"))
    sizes = ("--species", "ash", "--quarters", "4/4", "--length", "60", "--width", "6")
    assert main(["rack", "log", *where, "--board", "A1", *sizes]) == 0
    assert main(["rack", "hold", "hall bench", "A1", *where]) == 0
    assert main(["rack", "retire", "A1", *where, "--why", "sold", "--job", "hall bench"]) == 0
    capsys.readouterr()
    assert main(["rack", "undo", *where]) == 0
    said = capsys.readouterr().out
    assert "A1: held for hall bench before, free now" in said
    again = re.search(r"yieldopt (rack hold 'hall bench' A1) --rack ", said)
    assert again is not None
    assert main(["rack", "hold", "hall bench", "A1", *where]) == 0


def test_no_text_offers_a_command_that_does_not_exist() -> None:
    """Every `yieldopt WORD` and `rack WORD` in what the program prints, its help and its pages included."""
    rack = {name.removeprefix("rack ") for name in docs_tables.commands() if name.startswith("rack ")}
    offered = []
    for path in sorted(p for p in SOURCES.rglob("*") if p.suffix in (".py", ".js", ".html") and "migrations" not in p.parts):
        text = path.read_text(encoding="utf-8")
        offered += [(path.name, m[1], m[2]) for m in re.finditer(r"`yieldopt ([a-z]+)(?: ([a-z]+))?", text)]
        offered += [(path.name, m[1], m[2]) for m in re.finditer(r"(?:then|with|again): yieldopt ([a-z]+)(?: ([a-z]+))?", text)]
        offered += [(path.name, "rack", m[1]) for m in re.finditer(r"`rack ([a-z]+)", text)]
    assert len(offered) > 10
    assert [o for o in offered if o[1] not in COMMANDS or (o[1] == "rack" and o[2] and o[2] not in rack)] == []
