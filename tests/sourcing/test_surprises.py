"""`source` and `fragile` draw hidden flaws by one model, and the page that explains it has the code's figures."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path
from types import SimpleNamespace

import pytest
from by_hand import line

from yieldopt.fragility.chances_told import at_risk
from yieldopt.luck.grade_wood import NO_1, flaw_rate
from yieldopt.luck.rates import Rates
from yieldopt.luck.strokes import hidden_flaws as in_fragile
from yieldopt.luck.surprises import HIDDEN, MISSED
from yieldopt.sourcing.lay.rest import opened
from yieldopt.sourcing.market.lines import Market
from yieldopt.wood.lumber import Board, Shop

EXPLAINED = Path(__file__).parents[2] / "docs" / "explanation" / "fragility.md"


@pytest.mark.parametrize("grade", ["FAS", "common", "2a"])
@pytest.mark.parametrize(("quarters", "nominal"), [("4/4", F(1)), ("8/4", F(2))])
def test_one_rate_of_hidden_flaws(grade: str, quarters: str, nominal: F) -> None:
    board = Board("B", "white oak", quarters, nominal, F(96), F(8), nominal, notes={"grade": grade})  # type: ignore[arg-type]
    market = Market((), Shop(), 0, 0.05)
    assert market.hidden_rate("white oak", grade, nominal) == pytest.approx(Rates(0.05).flaws(board))


def test_boards_drawn_and_boards_of_the_rack_are_struck_as_often_as_in_fragile() -> None:
    """Counts over many boards of one line: at the dealer's, on the rack, and in `fragile`."""
    oak = replace(line("4/4", F(1), 4, "common", "white oak"), max_width=F(10), min_width=F(10))
    market = Market((oak,), Shop(), 0, 1.0)
    boards = [market.draw(0, 0, n) for n in range(150)]
    rack = [replace(d.board, name=str(n), notes={"grade": "common"}) for n, d in enumerate(boards)]
    counts = [
        sum(len(d.hidden) for d in boards),
        sum(len(hidden) for _, hidden in opened(rack, market.hidden_rate, random.Random(3))),
        sum(len(in_fragile(b, Rates(1.0), "draw")) for b in rack),
    ]
    expected = sum(Rates(1.0).flaws(b) * float(b.area) / 144 for b in rack)
    assert all(abs(n - expected) < 4 * expected**0.5 for n in counts), (counts, expected)


def test_a_shops_own_late_flaws_count() -> None:
    usual, own = Market((), Shop(), 0, 0.02), Market((), Shop(), 0, 0.02, own={"ash": 2.5})
    assert own.hidden_rate("ash", "common", F(1)) == pytest.approx(2.5 * usual.hidden_rate("ash", "common", F(1)))


def test_the_page_has_the_codes_figures() -> None:
    text = " ".join(EXPLAINED.read_text().split())
    found = re.search(r"come to ([\d.]+) a square foot .* miss one in (\d+)", text)
    assert found is not None
    assert float(found[1]) == pytest.approx(flaw_rate(NO_1, F(1)), abs=0.05)
    assert int(found[2]) == MISSED
    assert flaw_rate(NO_1, F(1)) / MISSED == pytest.approx(HIDDEN, abs=0.0005)


def test_the_part_that_fails_is_told_of() -> None:
    """Five parts lose many pieces and never lack one; a sixth seldom loses any and then has no wood left."""
    lost = Counter({f"p{n}": 50 - n for n in range(6)} | {"top": 1})
    first = SimpleNamespace(failing=Counter({"top": 1}), losing=lost)
    assert at_risk(first)[0] == "top"  # type: ignore[arg-type]
    assert len(at_risk(first)) == 5  # type: ignore[arg-type]
