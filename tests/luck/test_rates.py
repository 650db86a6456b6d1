"""Rates by grade, thickness and species, and the shop's own as they come in."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from rails import ONE

from yieldopt.luck.rates import ENOUGH, SPOILED, UNTESTED, Rates
from yieldopt.luck.surprises import HIDDEN


def test_rates_by_grade_thickness_and_species() -> None:
    common = replace(ONE, notes={"grade": "No. 1 Common"})
    rates = Rates()
    assert rates.flaws(replace(common, notes={"grade": "FAS"})) < rates.flaws(common)
    assert rates.flaws(replace(common, nominal=F(2))) > rates.flaws(common)
    # Tangential shrinkage, Wood Handbook (FPL-GTR-190) Table 4-3: northern red oak 8.6 %, black walnut 7.8 %.
    oak, walnut = (rates.flaws(replace(common, species=s)) for s in ("red oak", "walnut"))
    assert walnut / oak == pytest.approx(7.8 / 8.6)
    assert rates.flaws(replace(common, species="no such wood")) == pytest.approx(HIDDEN)
    assert rates.spoils("ash", True, False) == pytest.approx(SPOILED + UNTESTED)


def test_the_shops_own_history_takes_over_as_it_grows() -> None:
    few, some, many = (Rates(history={"ash": (n, n // 10)}).own("ash") for n in (ENOUGH - 1, 200, 20_000))
    assert few == SPOILED
    assert SPOILED < some < many
    assert many == pytest.approx(0.1, abs=0.002)
    assert Rates(history={"ash": (1000, 100)}).own("oak") == SPOILED


def test_the_shops_own_flaws_take_over_as_they_come_to_light() -> None:
    common = replace(ONE, length=F(144), width=F(10), notes={"grade": "No. 1 Common"})
    rates = Rates()
    expected = rates.flaws(common) * 10
    few, some, many = (rates.after([(common, found)] * n) for found, n in ((2, 1), (1, 40), (1, 4000)))
    assert few.flaws(common) == rates.flaws(common)
    assert some.own_flaws("ash") == pytest.approx((10 + 40) / (10 + 40 * expected))
    assert many.flaws(common) * 10 == pytest.approx(1.0, rel=0.03)
    assert many.flaws(replace(common, species="oak")) == rates.flaws(replace(common, species="oak"))
