"""The list to take along on the command line: delivery, tax, a budget, picks, packs, two boards, a rack, counted plans."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from by_hand import NO_END, line, slats

from yieldopt.cli import main
from yieldopt.ground.deadline import Deadline
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.purchase.needs import Basis, draw_needs
from yieldopt.sourcing.purchase.picking import pick_options, picked, picks_for
from yieldopt.sourcing.purchase.smallest import smallest
from yieldopt.sourcing.purchase.takealong import within_budget
from yieldopt.wood.lumber import Shop
from yieldopt.workers.runner import Runner

PRICES = (
    "dealer,species,quarters,grade,price_bf,min_length,max_length,min_width,max_width,bundle_bf\n"
    "Hand,oak,4/4,clear,4,8',8',6,6,\nMill,oak,4/4,clear,3.90,8',8',6,6,200\n"
)
pytestmark = pytest.mark.usefixtures("in_threads")
FAST = ["--draws", "20", "--steps", "10", "--quiet", "--hidden", "0"]


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """Twelve slats, three boards of 4 board feet at 4; no boards table, so that all is to be bought."""
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.toml").write_text('name = "by hand"\nunits = "in"\n')
    (folder / "parts.csv").write_text("part,qty,species,thickness,width,length\nslat,12,oak,3/4,5 3/4,21 1/2\n")
    (folder / "prices.csv").write_text(PRICES)
    return folder


def _source(folder: Path, *more: str) -> dict:  # type: ignore[type-arg]
    out = folder.parent / "out"
    assert main(["source", str(folder), "--out", str(out), *FAST, *more]) == 0
    found: dict = json.loads((out / "source.json").read_text())  # type: ignore[type-arg]
    return found


def test_the_bill_with_delivery_tax_and_a_budget(bare: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """48 of wood, 20 for the delivery, 8 % on both: 73.44. For 60 no three boards are to be had."""
    p = _source(bare, "--delivery", "20", "--tax", "8%", "--budget", "60")["purchase"]
    assert p["accounts"] == [{"dealer": "Hand", "wood": 48.0, "delivery": 20.0, "tax": 5.44, "total": 73.44}]
    assert p["to_pay"] == 73.44
    assert p["budget"]["chance"] is None
    assert p["lines"][0]["boards"] == 3
    assert p["lines"][0]["parts"] == [{"part": "slat", "pieces": 12}]
    assert sum(p["parts_of_the_figure"].values()) == pytest.approx(p["board_feet"], abs=0.3)
    # Loose boards are cheaper than a pack of which most is left over.
    assert [(f["outlay"], f["other_outlay"]) for f in p["other_forms"]] == [(48.0, 780.0)]
    said = capsys.readouterr().out
    assert "60 does not pay for any purchase" in said
    assert "loose costs less" in said
    chart = (bare.parent / "out" / "chance.svg").read_text() if (bare.parent / "out" / "chance.svg").exists() else ""
    assert not chart or "how likely a purchase is too little" in chart


def test_a_budget_that_pays() -> None:
    """Three boards cost 48: 50 pays for them, 47 does not."""
    job = slats(F(3, 4), 12, line("4/4", F(1), 4))
    market = Market(job.prices, job.shop, 0, 0.0)
    needs = draw_needs(Basis.of(job, None, {"slat": 12}), {"slat": 0}, market, 20, Deadline(NO_END))
    enough, little = (within_budget(needs, market, Asked(budget=money)) for money in (50.0, 47.0))
    assert enough is not None
    assert enough.purchase is not None
    assert (enough.purchase.chance, enough.cost) == (1.0, 48.0)
    assert little is not None
    assert little.purchase is None


def test_the_same_figures_twice_by_counted_plans(bare: Path) -> None:
    one, two = (_source(bare, "--seed", "3") for _ in range(2))
    for body in (one, two):
        body.pop("seconds")
    assert one == two


def test_long_boards_are_worth_picking() -> None:
    """Slats of 22 1/2 in rough from boards of 40 to 64 in: from 49 1/4 in there are two in a board, else one. Boards from 54 in,
    ten of the 24 inches of the range, make all twelve of six boards; as they come it takes seven or eight."""
    short = replace(line("4/4", F(1), 4), min_length=F(40), max_length=F(64))
    job = slats(F(3, 4), 12, short)
    basis, market = Basis.of(job, None, {"slat": 12}), Market(job.prices, job.shop, 0, 0.0)
    with ThreadPoolExecutor(1) as threads:
        picks = picks_for(basis, {"slat": 0}, market, 0.95, "in", Runner(threads, 1, plans=10), Deadline(NO_END))
    assert (picks[0].width, picks[0].length, picks[0].share) == (6, 54, pytest.approx(10 / 24))
    least = [
        smallest(draw_needs(basis, {"slat": 0}, m, 40, Deadline(NO_END)), 0.95, m) for m in (picked(market, picks), market)
    ]
    assert least[0] is not None
    assert least[1] is not None
    assert least[0].boards == {0: 6}
    assert least[0].board_feet < 0.95 * least[1].board_feet


def test_no_pick_passes_over_more_than_two_boards_for_one(bare: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A line of which all boards are alike has nothing to pick, and as they come is as they are."""
    body = _source(bare, "--as-they-come")
    assert not body["purchase"]["picked"]
    assert body["purchase"]["lines"][0]["share_picked"] == 1
    assert "--as-they-come" not in capsys.readouterr().out
    wide = replace(line("4/4", F(1), 4), min_width=F(4), max_width=F(13), max_length=F(144))
    for units in ("in", "mm"):
        assert all(p.share >= 1 / 3 - 0.01 for p in pick_options(wide, units, (), Shop()))  # type: ignore[arg-type]


def test_this_board_or_that_one(bare: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Of boards at 20, 24, 18 and 30 three are needed: with the one at 30 but not the one at 24 it is 68, the other way 62."""
    stall = bare.parent / "stall"
    stall.mkdir()
    rows = [f"D{n},oak,4/4,8',6,{cost}" for n, cost in enumerate((20, 24, 18, 30), 1)]
    (stall / "boards.csv").write_text("board,species,quarters,length,width,cost\n" + "\n".join(rows) + "\n")
    body = _source(bare, "--offered", str(stall), "--either", "D2;D4")
    assert {x["board"]: x["to_pay"] for x in body["either"]} == {"D2": 62.0, "D4": 68.0}
    assert "with D2 62.00 to pay; with D4 68.00 to pay: take D2." in capsys.readouterr().out


def test_boards_of_a_rack(bare: Path) -> None:
    """One board on the rack gives four slats: two more are wanted."""
    stall = bare.parent / "mine"
    stall.mkdir()
    (stall / "boards.csv").write_text("board,species,quarters,length,width\nB1,oak,4/4,8',6\n")
    rack = bare.parent / "shop.rack"
    assert main(["rack", "load", str(stall), "--rack", str(rack)]) == 0
    body = _source(bare, "--rack", str(rack))
    assert body["missing"] == [{"part": "slat", "qty": 8}]
    assert body["purchase"]["board_feet"] == 8


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["--tax", "much"], "--tax: found 'much'"),
        (["--either", "D1;D2"], "name them with --offered"),
        (["--steps", "1"], "--steps: found 1, expected 10 to"),
        (["--budget", "0"], "--budget: found 0"),
        (["--rack", "x", "--no-rack"], "give one of them"),
    ],
)
def test_bad_input(bare: Path, capsys: pytest.CaptureFixture[str], more: list[str], told: str) -> None:
    assert main(["source", str(bare), "--out", str(bare.parent / "out"), *more]) == 2
    assert told in capsys.readouterr().err
    assert not (bare.parent / "out").exists()
