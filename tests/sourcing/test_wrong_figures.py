"""Figures that misled somebody at the dealer's: each was wrong once, and is read here as it is printed or written."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
from by_hand import NO_END, line, slats

from yieldopt.cli import main
from yieldopt.ground.deadline import Deadline
from yieldopt.luck.bill import bill
from yieldopt.reading import read_job
from yieldopt.reading.writing import job_files
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.lay.classes import class_name, is_thick
from yieldopt.sourcing.market.lines import Market
from yieldopt.sourcing.purchase.needs import Basis, draw_needs
from yieldopt.sourcing.purchase.outlay import Try, outlay
from yieldopt.sourcing.purchase.smallest import smallest
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.told.findings import way_figures
from yieldopt.sourcing.ways.outcome import NOTHING, Outcome, pairs_in
from yieldopt.sourcing.ways.question import BOTH_NAME, THICK_NAME, THIN_NAME, OnRack, Question
from yieldopt.sourcing.ways.turning import Cost
from yieldopt.sourcing.ways.way import Way
from yieldopt.wood.lumber import BOARD_FEET_PER_CUBIC_METRE, Job
from yieldopt.wood.plan import Blank, BoardPlan, Piece

pytestmark = pytest.mark.usefixtures("in_threads")
FAST = ["--draws", "20", "--steps", "10", "--quiet"]


def _job(folder: Path, parts: str, prices: str, units: str = "in") -> Path:
    """A job folder without a boards table: all is to be bought."""
    folder.mkdir(exist_ok=True)
    (folder / "job.toml").write_text(f'name = "by hand"\nunits = "{units}"\n')
    (folder / "parts.csv").write_text("part,qty,species,thickness,width,length\n" + parts)
    (folder / "prices.csv").write_text(prices)
    return folder


def _source(folder: Path, *more: str) -> dict:  # type: ignore[type-arg]
    out = folder / "out"
    assert main(["source", str(folder), "--out", str(out), *FAST, *more]) == 0
    found: dict = json.loads((out / "source.json").read_text())  # type: ignore[type-arg]
    return found


def test_eight_pairs_are_eight() -> None:
    """Sixteen pieces lie two by two in one blank of two layers; `layers` of a piece is its blank's."""
    pieces = tuple(
        Piece(f"p#{2 * k + n}", "p", "W-a", F(20 * k), F(0), F(19), F(4), n, 2, F(1, 2), None, None, None, None, "planned")
        for k in range(8)
        for n in (1, 2)
    )
    blank = Blank("W-a", F(0), F(0), F(160), F(4), 2, (F(1, 2), F(1, 2)), tuple(p.piece for p in pieces))
    entry = BoardPlan("W", F(0), F(0), (), (blank,), pieces, (), ())
    assert pairs_in(entry, blank) == 8


def test_surcharges_are_in_the_bill(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Slats 6 in wide and over: every board is over 5 in, and costs half as much again: 3 boards of 4 board feet at 6."""
    prices = ("dealer,species,quarters,grade,price_bf,min_length,max_length,min_width,max_width,wide_over,wide_surcharge\n"
              "Hand,oak,4/4,clear,4,8',8',6,6,5,0.5\n")  # fmt: skip
    body = _source(_job(tmp_path / "job", "slat,12,oak,3/4,5 3/4,21 1/2\n", prices), "--hidden", "0")
    assert body["purchase"]["cost"] == 72.0
    assert body["purchase"]["lines"][0]["money"] == 72.0
    assert "About 72 to pay" in capsys.readouterr().out


def test_surcharges_count_in_the_choice_of_line() -> None:
    """At 4 and half as much again, a line is dearer than one at 5."""
    dear = replace(line("4/4", F(1), 4), wide_over=F(5), wide_surcharge=F(1, 2))
    job = slats(F(3, 4), 12, dear, line("4/4", F(1), 5))
    market = Market(job.prices, job.shop, 0, 0.0)
    basis = Basis.of(job, None, {"slat": 12})
    by_line = [outlay(Try(basis, {"slat": k}, market, 0.95)) for k in (0, 1)]
    assert by_line == pytest.approx([72, 60])


@pytest.mark.parametrize(("mm", "thick"), [(47, False), (50, True), (52, True), (54, True), (60, False), (27, False)])
def test_stock_of_52_mm_is_8_4(mm: int, thick: bool) -> None:
    assert is_thick(F(mm * 10, 254)) is thick


def test_classes_are_named_as_they_are_sold() -> None:
    assert [class_name(x) for x in (F(2), F(5, 4), F(270, 254))] == ["8/4", "5/4", "27 mm"]


METRIC = ("dealer,species,quarters,grade,price_m3,min_length,max_length,min_width,max_width\n"
          "Hand,oak,27mm,clear,1000,2440,2440,152,152\nHand,oak,52mm,clear,1200,2440,2440,152,152\n")  # fmt: skip


def test_a_metric_job_is_answered_in_metres(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Twelve slats of 16 mm; a board of 27 mm holds 2440 x 152 x 27 mm = 0.010014 m³ and gives four."""
    body = _source(_job(tmp_path / "job", "slat,12,oak,16,145,546\n", METRIC, "mm"), "--hidden", "0")
    said = capsys.readouterr().out
    assert {w["name"] for w in body["ways"]} >= {THIN_NAME, THICK_NAME}
    assert body["break_even"]["ratio_today"] == pytest.approx(1.2)
    assert body["purchase"]["cost"] == pytest.approx(3 * 10.014, abs=0.01)
    assert "0.030 m³" in said
    assert "27 mm" in said
    assert not re.search(r"\bbf\b|board feet|sq ft|inches|/127", said)


def test_a_price_a_cubic_metre_is_kept_and_written_back(tmp_path: Path) -> None:
    job = read_job(_job(tmp_path / "job", "slat,1,oak,16,145,546\n", METRIC, "mm"), boards=())
    thin = job.prices[0]
    assert thin.by_volume
    assert thin.price_bf * BOARD_FEET_PER_CUBIC_METRE == 1000
    # Under an inch it is as thick as it is.
    assert bill(replace(thin, nominal=F(20 * 10, 254)), F(10000, 254), F(10000, 254)).cost == 20
    for name, text in job_files(job).items():
        if isinstance(text, str):
            (tmp_path / "job" / name).write_text(text)
    assert read_job(tmp_path / "job").prices == job.prices


def test_two_prices_for_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    prices = METRIC.replace("price_m3", "price_bf,price_m3").replace(",1000,", ",5,1000,").replace(",1200,", ",,1200,")
    folder = _job(tmp_path / "job", "slat,1,oak,16,145,546\n", prices, "mm")
    assert main(["source", str(folder), "--out", str(tmp_path / "o")]) == 2
    assert "prices.csv, row 2, price_m3: found '1000', expected one of price_bf and price_m3" in capsys.readouterr().err


def test_one_impossible_part_leaves_the_others(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A part longer than any board is named first, with the reason; the slats are bought all the same."""
    prices = ("dealer,species,quarters,grade,price_bf,min_length,max_length,min_width,max_width\n"
              "Hand,oak,4/4,clear,4,8',8',6,6\n")  # fmt: skip
    parts = "slat,12,oak,3/4,5 3/4,21 1/2\nbeam,1,oak,3/4,3,120\nwedge,1,teak,3/4,3,10\n"
    body = _source(_job(tmp_path / "job", parts, prices), "--hidden", "0")
    said = capsys.readouterr().out
    assert body["purchase"]["board_feet"] == 12
    assert said.startswith("No line of the price sheets makes these")
    assert '1 x beam: 121" long as rough-cut; boards are sold up to 96"' in said
    assert "1 x wedge: on no price sheet" in said
    rows = [x for x in said.splitlines() if x.startswith(("oak 4/4 (", "teak"))]
    assert any("no line gives the size" in x for x in rows)
    assert not any("on no price sheet" in x for x in rows if x.startswith("oak"))


def test_about_so_many_boards_is_what_that_many_feet_are() -> None:
    """Boards of 5 to 10 in by 7 to 12 ft: the number told is the board feet told over those of a board, not the most seen."""
    lines = (replace(line("4/4", F(1), 4, "common"), min_length=F(84), max_length=F(144), min_width=F(5), max_width=F(10)),)
    j = slats(F(3, 4), 12, *lines)
    market = Market(j.prices, j.shop, 3, 0.02)
    needs = draw_needs(Basis.of(j, None, {"slat": 12}), {"slat": 0}, market, 80, Deadline(NO_END))
    found = smallest(needs, 0.95, market)
    assert found is not None
    a_board = sum(s[-1] for s in needs.sums[0]) / sum(map(len, needs.sums[0]))
    assert found.boards[0] == round(found.feet[0] / a_board)
    assert found.boards[0] < max(map(len, needs.sums[0]))


def _studied(both_thick: float) -> Study:
    """Thin stock on 37 draws, of which the first three were cheap; both on offer on those three alone."""
    ways = (Way(THIN_NAME, {}), Way(THICK_NAME, {}), Way(BOTH_NAME, {}, ({},)))
    thin = {(0, d): _outcome(100.0 if d < 3 else 130.0) for d in range(37)}
    both = {(2, d): _outcome(100.0 - both_thick, both_thick) for d in range(3)}
    question = Question(Job("j", "in", (), ()), OnRack(None, {}), ways=ways)
    return Study(Asked(), question, [[], [], []], thin | both)


def _outcome(fixed: float, thick: float = 0.0) -> Outcome:
    return replace(NOTHING, cost=Cost(fixed, thick), board_feet=10.0, boards=2)


def test_both_on_offer_is_not_cheaper_by_the_luck_of_few_draws() -> None:
    figures = {f.name: f for f in way_figures(_studied(0.0))}
    mean = (3 * 100 + 34 * 130) / 37
    assert figures[THIN_NAME].cost.at(1) == pytest.approx(mean)
    assert figures[BOTH_NAME].cost.at(1) == pytest.approx(mean)


def test_that_no_more_8_4_was_cut_is_said() -> None:
    from yieldopt.sourcing.told.everything import report

    assert any("no more 8/4 was cut" in text for text in report(_studied(0.0)))
    assert any("cut more 8/4 in 3 of 3 trials" in text for text in report(_studied(40.0)))
