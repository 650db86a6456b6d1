"""Conversions against an independent units library (pint)."""

from fractions import Fraction as F

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yieldopt.ground.lengths import MM_PER_INCH, from_number, in_mm, parse_length, to_number
from yieldopt.wood.lumber import CUBIC_INCHES_PER_BOARD_FOOT, CUBIC_INCHES_PER_CUBIC_METRE, Board

units = pint.UnitRegistry(non_int_type=F)


def inches(value, unit):
    return units.Quantity(value, unit).to("inch").magnitude


def test_constants():
    assert inches(F(1), "mm") == 1 / MM_PER_INCH
    assert units.Quantity(F(1), "board_foot").to("inch**3").magnitude == CUBIC_INCHES_PER_BOARD_FOOT
    assert units.Quantity(F(1), "m**3").to("inch**3").magnitude == CUBIC_INCHES_PER_CUBIC_METRE


@given(st.integers(0, 250_000), st.sampled_from(("mm", "cm")))
def test_metric_lengths(thousandths, unit):
    text = f"{thousandths // 1000}.{thousandths % 1000:03d}"
    assert parse_length(text + unit, "in") == inches(F(text), unit)


@given(st.integers(0, 300), st.integers(0, 11), st.integers(0, 63))
def test_feet_and_inches(feet, whole, sixty_fourths):
    text = f"{feet}' {whole} {sixty_fourths}/64\""
    expected = inches(F(feet), "foot") + inches(F(whole) + F(sixty_fourths, 64), "inch")
    assert parse_length(text, "mm") == expected


@given(st.fractions(0, 9000, max_denominator=64))
def test_numbers_go_there_and_back(length):
    assert from_number(to_number(length, "in"), "in") == pytest.approx(length, abs=1e-9)
    metric = to_number(length, "mm")
    assert metric == pytest.approx(float(units.Quantity(length, "inch").to("mm").magnitude), rel=1e-12)
    assert float(in_mm(length, 3)) == pytest.approx(float(metric), abs=5.01e-4)


@given(st.integers(1, 400), st.integers(1, 4000), st.integers(2, 16))
def test_volume(width_16ths, length_16ths, quarters):
    thick = F(quarters, 4)
    board = Board("B", "ash", f"{quarters}/4", thick, F(length_16ths, 16), F(width_16ths, 16), thick, price_m3=F(1))
    volume = units.Quantity(board.width, "inch") * units.Quantity(board.length, "inch") * units.Quantity(board.nominal, "inch")
    assert board.board_feet == volume.to("board_foot").magnitude
    # A price of 1 for each cubic metre makes the price the volume.
    assert board.price == volume.to("m**3").magnitude
