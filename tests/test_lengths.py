"""Exact lengths: every notation of the reference page, and the inch against an independent library of units."""

from __future__ import annotations

import math
import random
from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yieldopt.ground.errors import LengthError
from yieldopt.ground.lengths import (
    FINEST_TAKEN,
    LARGEST,
    LONGEST,
    MM_PER_INCH,
    Units,
    as_typed,
    from_number,
    in_fractions,
    in_mm,
    parse_length,
    show,
    to_number,
)

UNITS: tuple[Units, ...] = ("in", "mm")
units = st.sampled_from(UNITS)
sixty_fourths = st.integers(-64 * 400, 64 * 400).map(lambda n: Fraction(n, 64))
lengths = st.one_of(
    sixty_fourths,
    st.fractions(-LARGEST, LARGEST, max_denominator=10_000),
    st.integers(-200_000, 200_000).map(lambda n: Fraction(n, 10) / MM_PER_INCH),
    st.fractions(-LARGEST, LARGEST, max_denominator=FINEST_TAKEN),
)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        # The notations of docs/reference/lengths.md, each also with curly or prime quotes.
        ("7.375", "7.375"), ("7 3/8", "7.375"), ("7-3/8", "7.375"), ('7 3/8"', "7.375"), ("7 3/8”", "7.375"), ("7 3/8″", "7.375"),
        ("7 3/8''", "7.375"), ("7½", "7.5"), ("½", "0.5"), ("7 ⅜", "7.375"), ("7⅜”", "7.375"),
        ("7 3/8 in", "7.375"), ("7 3/8 IN.", "7.375"),
        ("8'", "96"), ("8’", "96"), ("8 ft", "96"), ("8' 2-1/2\"", "98.5"), ("8’ 2½”", "98.5"), ("8'2", "98"),
        ("8'-2 1/2\"", "98.5"),
        ("8 ft 2 1/2 in", "98.5"), ("1.5'", "18"), ("1/2'", "6"), ("3/8", "0.375"), ("13/8", "1.625"), (".5", "0.5"), ("5.", "5"),
        ("-1/4", "-0.25"), ("- 1/4\"", "-0.25"), ("−1/4", "-0.25"), ("+3", "3"), ("  7   3/8  ", "7.375"),
        ("7\u00a03/8", "7.375"),
        ("7 3⁄8", "7.375"), ("0", "0"), ("-0", "0"), ("00012", "12"),
    ],
)
def test_notations_in_an_inch_job(text: str, inches: str) -> None:
    assert parse_length(text, "in") == Fraction(inches)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("187mm", "187"), ("187 MM", "187"), ("18.7 cm", "187"), ("18.7cm", "187"), ("187", "187"), ("187.3", "187.3"),
     ("1/2 mm", "0.5"),
     ("2½", "2.5"), ('1"', "25.4"), ("1 in", "25.4"), ("1'", "304.8"), ("1' 1", "330.2"), ("-6.5mm", "-6.5")],
)
def test_notations_in_a_millimetre_job(text: str, mm: str) -> None:
    assert parse_length(text, "mm") * MM_PER_INCH == Fraction(mm)


@pytest.mark.parametrize(
    "text",
    ["", " ", "-", "+", "--1", "+-1", "-+1", "1 2", "1/0", "1/2/3", "7 3/8 9", "7 3 / 8 / 2", "nan", "inf", "-inf", "1e3",
     "1e999", "1E5mm",
     "seven", "7,5", "1,000", "7 3/8 m", "7 yd", "7''''", "8'-", "8' -", "8''2'", "'", '"', "in", "mm", "7.5.1", "½½", "2²",
     "٣", "３",
     "0x10", "1_000", "7 3/8\"\"", "7\0", "9" * 61, "$7", "7-", "/2", "1/", "7.5-3/8", "=7", "8' --2\"", "8'' 2\""],
)
def test_what_is_no_length_is_refused_with_what_would_be(text: str) -> None:
    with pytest.raises(LengthError) as caught:
        parse_length(text, "in")
    assert caught.value.expected == "a length such as 7 3/8, 7-3/8\", 7.375, 8' 2-1/2\" or 187mm"


def test_a_length_that_no_board_has_is_refused() -> None:
    with pytest.raises(LengthError, match=r"found '10000\.5', expected a length of at most 10000 in"):
        parse_length("10000.5", "in")
    assert parse_length("10000", "in") == LARGEST


def test_a_length_finer_than_any_float_is_refused_rather_than_rounded() -> None:
    assert parse_length("0.30000000000000004", "in") == Fraction("0.30000000000000004")
    with pytest.raises(LengthError, match="expected a length with fewer decimals or a denominator of at most 64"):
        parse_length("0.3" + "0" * 30 + "1", "in")


@given(st.text(max_size=80), units)
@settings(deadline=None, max_examples=500)
def test_any_text_gives_a_length_or_a_length_error(text: str, u: Units) -> None:
    try:
        value = parse_length(text, u)
    except LengthError:
        return
    assert abs(value) <= LARGEST


@given(st.text(alphabet="0123456789 -/.'\"½inftmc", max_size=16), units)
@settings(deadline=None, max_examples=1000)
def test_texts_near_to_lengths_give_a_length_or_a_length_error(text: str, u: Units) -> None:
    try:
        value = parse_length(text, u)
    except LengthError:
        return
    assert parse_length(as_typed(value, u), u) == value


# The inch: 25.4 mm exactly. Source: NIST Special Publication 811 (2008 edition), appendix B.8, inch to metre 2.54 E-02 in bold
# (exact); stated from memory. Checked here against pint's own definition of the inch.
def test_the_inch_is_exactly_254_tenths_of_a_millimetre() -> None:
    registry = pint.UnitRegistry(non_int_type=Fraction)
    assert registry.Quantity(Fraction(1), "inch").to("mm").magnitude == MM_PER_INCH == Fraction(254, 10)
    assert registry.Quantity(Fraction(1), "foot").to("mm").magnitude == Fraction(3048, 10)


def test_conversions_agree_with_pint_on_random_lengths() -> None:
    registry = pint.UnitRegistry(non_int_type=Fraction)
    rng = random.Random(811)
    for _ in range(300):
        tenths = rng.randrange(1, 50_000)
        whole, num, den = rng.randrange(0, 200), rng.randrange(1, 64), 64
        inches = registry.Quantity(Fraction(tenths, 10), "mm").to("inch").magnitude
        assert parse_length(f"{tenths // 10}.{tenths % 10} mm", "in") == inches
        mm = registry.Quantity(whole + Fraction(num, den), "inch").to("mm").magnitude
        assert parse_length(f'{whole} {num}/{den}"', "mm") * MM_PER_INCH == mm
        feet = registry.Quantity(Fraction(whole), "foot").to("inch").magnitude
        assert parse_length(f"{whole}' {num}/{den}", "in") == feet + Fraction(num, den)


@given(lengths, units)
@settings(deadline=None, max_examples=500)
def test_as_typed_is_read_back_exactly_and_fits(length: Fraction, u: Units) -> None:
    try:
        parse_length(str(abs(length)), "in")
    except LengthError:
        return  # finer or longer than a person may type
    text = as_typed(length, u)
    assert len(text) <= LONGEST
    assert parse_length(text, u) == length


@given(sixty_fourths)
def test_tape_fractions_are_exact_to_a_64th_and_read_back(length: Fraction) -> None:
    text = in_fractions(length)
    assert "~" not in text
    assert "." not in text
    assert parse_length(text, "in") == length


@given(lengths)
def test_a_rounded_fraction_is_marked_and_within_half_a_64th(length: Fraction) -> None:
    text = in_fractions(length)
    shown = parse_length(text.lstrip("~"), "in")
    assert text.startswith("~") == (shown != length)
    assert abs(shown - length) <= Fraction(1, 128)


@given(lengths, st.integers(0, 4))
def test_millimetres_are_rounded_half_up(length: Fraction, decimals: int) -> None:
    text = in_mm(length, decimals)
    exact = abs(length) * MM_PER_INCH
    # Rounding half up, spelt out in whole numbers.
    scaled = math.floor(exact * 10**decimals * 2 + 1) // 2
    assert abs(Fraction(text)) == Fraction(scaled, 10**decimals)
    assert not text.endswith(".")
    assert text not in ("-0",)


@given(lengths)
def test_numbers_of_a_plan_hold_64ths_of_an_inch_and_hundredths_of_a_millimetre(length: Fraction) -> None:
    inches = Fraction(round(length * 64), 64)
    assert from_number(to_number(inches, "in"), "in") == inches
    mm = Fraction(round(length * 100), 100) / MM_PER_INCH
    assert from_number(to_number(mm, "mm"), "mm") == mm


@pytest.mark.parametrize(
    ("length", "u", "shown"),
    [("7.375", "in", '7 3/8"'), ("-0.25", "in", '-1/4"'), ("0", "in", '0"'), ("12", "in", '12"'), ("7.4", "in", '~7 13/32"'),
     ("-0.001", "in", '~0"'), ("7.375", "mm", "187.33 mm"), ("10", "mm", "254 mm"), ("0", "mm", "0 mm")],
)
def test_what_is_shown(length: str, u: Units, shown: str) -> None:
    assert show(Fraction(length), u) == shown


@pytest.mark.parametrize(
    ("length", "u", "typed"),
    [("7.375", "in", "7 3/8"), ("-0.25", "in", "-1/4"), ("96", "in", "96"), ("7.375", "mm", "187.325"), ("-0.25", "mm", "-6.35")],
)
def test_what_is_typed(length: str, u: Units, typed: str) -> None:
    assert as_typed(Fraction(length), u) == typed
    assert as_typed(Fraction(187) / MM_PER_INCH, "in") == "187mm"
    assert as_typed(Fraction(1, 3), "mm") == "8 7/15"
