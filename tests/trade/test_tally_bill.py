"""A bill is the board feet that it says, times their price."""

from __future__ import annotations

from fractions import Fraction as F
from pathlib import Path

import pytest

from yieldopt.cli import main
from yieldopt.trade.tally import tally
from yieldopt.wood.lumber import Board


def _board(name: str, width: F, quarters: str, nominal: F, price: F | None) -> Board:
    return Board(name, "ash", quarters, nominal, F(120), width, nominal, price_bf=price)


def test_a_pack_is_billed_for_the_feet_it_says() -> None:
    """Surface measures of 5 and 8 make 13 x 1 1/4 = 16.25 board feet, billed as 16 at 4, not as 16.25."""
    bundle = tally([_board("A", F(6), "5/4", F(5, 4), F(4)), _board("B", F(19, 2), "5/4", F(5, 4), F(4))])
    assert (bundle.board_feet, bundle.price) == (16, 64)


def test_what_is_priced_apart_is_summed_apart() -> None:
    bundle = tally([_board("A", F(6), "5/4", F(5, 4), F(4)), _board("B", F(19, 2), "5/4", F(5, 4), F(5))])
    assert bundle.price == 6 * 4 + 10 * 5
    assert bundle.board_feet == 16
    assert tally([_board("A", F(6), "4/4", F(1), None)]).price is None


def test_print_agrees_with_itself(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "boards.csv").write_text(
        "board,species,quarters,length,width,price_bf\nA,ash,5/4,10',6,1\nB,ash,5/4,10',9 1/2,1\n"
    )
    assert main(["tally", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "2 boards, 16 bf as a dealer counts" in said
    assert "price: 16.00 as a dealer counts" in said
