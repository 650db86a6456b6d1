"""The rack's pages and the code say the same: tables are compared, the commands of the how-to pages are run in their order."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
import rack_tables
from making import KNOT, entry, photo, picture

from yieldopt.cli import main, parser
from yieldopt.rack.cut.splitting import SplitCut
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.io.exchange import load
from yieldopt.records.planfile import loads

DOCS = Path(__file__).parents[2] / "docs"
HOW_TO = {page: (DOCS / "howto" / page).read_text(encoding="utf-8") for page in ("rack.md", "rack-jobs.md", "rack-keep.md")}


def test_the_tables_of_the_reference_are_those_of_the_code() -> None:
    page = rack_tables.PAGE.read_text(encoding="utf-8")
    assert page == rack_tables.rewritten(page), "run `python tests/rack/rack_tables.py` and read the difference"
    assert set(rack_tables.MARKED.findall(page)) == set(rack_tables.tables())


def test_the_changes_of_the_reference_are_those_that_happen(rack: Rack, tmp_path: Path) -> None:
    from fractions import Fraction as F

    rack.log(entry("A1", defects=(KNOT,)))
    (tmp_path / "boards.csv").write_text("board,species,quarters,length,width,cost\nB1,ash,4/4,60,6,9\n", encoding="utf-8")
    load(rack, tmp_path)
    rack.correct("B1", lambda r: entry("B2"))
    rack.add_photo("A1", photo())
    rack.hold("bench", ["A1"])
    rack.release(job="bench")
    rack.split("A1", SplitCut("crosscut", F(50), F(1, 8)), ("A2", "A3"))
    rack.retire(["A2"], "sold")
    rack.undo()
    plan = {"format": "yieldopt-plan/1", "job": "j", "units": "in", "revision": 1, "unplaced": []}
    plan["boards"] = [{"board": "A3", "cost": 1.0, "credit": 0.0, "cuts": [], "blanks": [], "pieces": [], "offcuts": []}]
    plan["totals"] = {"net_cost": 1.0, "bound": None, "gap": None, "yield": 0.0, "seed": 0, "seconds": 0.0}
    import json

    rack.book(loads(json.dumps(plan)))
    assert {c.what for c in rack.history()} == set(rack_tables.CHANGES)


def commands(page: str) -> list[list[str]]:
    """The commands that a page shows, as words."""
    return [shlex.split(line)[1:] for line in re.findall(r"^    (yieldopt .+)$", HOW_TO[page], re.M)]


def made_up(words: list[str]) -> bool:
    """Whether it stands for others (PLAN, OFFCUT=...), asks on a terminal, or names a server: those are only parsed."""
    return (
        any(re.search(r"\b(PLAN|BOARD|OFFCUT|PIECE)\b", w) for w in words)
        or words == ["rack", "log", "--rack", "shop.rack"]
        or any("://" in w for w in words)
    )


@pytest.mark.parametrize("page", HOW_TO)
def test_the_commands_of_a_how_to_page_work_in_their_order(
    page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copytree(DOCS.parent / "inventory", tmp_path / "inventory")
    (tmp_path / "front.jpg").write_bytes(picture())
    shown = commands(page)
    assert len(shown) >= 8
    for words in shown:
        if made_up(words):
            parser().parse_args(words)
            continue
        if words[0] == "plan":
            # A short search on a busy machine may leave a part over (3); what follows works all the same.
            assert main([*words, "--seconds", "2", "--quiet"]) in (0, 3)
        else:
            assert main(words) == 0, (words, capsys.readouterr().err)
    with Rack.open(tmp_path / "shop.rack") as rack:
        assert rack.check() == []
