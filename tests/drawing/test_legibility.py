"""Lettering: nothing overlaps, nothing leaves the page, nothing is small or faint; whatever the names."""

from __future__ import annotations

import unicodedata
from itertools import pairwise

import pytest
from buying_body import what_to_buy
from fontTools.ttLib import TTFont
from inspect_pages import off_page, overlapping, small_text
from made_up import HOSTILE, made_up

from yieldopt.checking import check
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.drawing.page.lettering import FONT_FILES, clean, font_bytes, shorten, width_of, wrap
from yieldopt.drawing.page.paper import A4, LETTER, PHONE, Paper
from yieldopt.drawing.page.primitives import Hatch, Line, Polygon, Rect


def _inspect(seed: int, paper: Paper) -> None:
    job, plan = made_up(seed, hostile=seed % 2 == 1, units="mm" if seed % 3 == 0 else "in", missing=seed % 4 == 0)
    assert check(job, plan) == ()
    pages = draw_packet(job, plan, paper, "2026-01-01").pages
    assert small_text(pages) == []
    assert off_page(pages) == []
    assert overlapping(pages) == []
    for page in pages:
        texts = " ".join(t.text for t in page.texts())
        assert f"plan revision {plan.revision} · 2026-01-01" in texts
        assert ("INCOMPLETE PLAN" in texts) == (not plan.complete)


@pytest.mark.parametrize(("seed", "paper"), [(n, (LETTER, A4, PHONE)[n % 3]) for n in range(8)])
def test_nothing_overlaps_and_nothing_leaves_the_page(seed: int, paper: Paper) -> None:
    _inspect(seed, paper)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(50))
@pytest.mark.parametrize("paper", [LETTER, A4, PHONE], ids=lambda p: p.name)
def test_nothing_overlaps_on_fifty_jobs(seed: int, paper: Paper) -> None:
    _inspect(seed, paper)


def test_the_inspection_itself_finds_what_it_looks_for() -> None:
    from yieldopt.drawing.page.primitives import Page, Text

    page = Page(100, 100, "t", marks=[Text(10, 20, "one", 8), Text(12, 22, "two", 9), Text(90, 50, "three", 9)])
    assert [t.text for t in small_text([page])] == ["one"]
    assert overlapping([page]) == [("t", "one", "two")]
    assert off_page([page]) == [("t", "three")]


def _luminance(grey: float) -> float:
    """Relative luminance (W3C, WCAG 2.2, "relative luminance")."""
    return grey / 12.92 if grey <= 0.04045 else ((grey + 0.055) / 1.055) ** 2.4


def test_every_stroke_stands_out_from_the_paper() -> None:
    """4.5 : 1 against white (W3C, WCAG 2.2, success criterion 1.4.3); lettering is black. White strokes belong to no mark."""
    job, plan = made_up(2)
    for page in draw_packet(job, plan).pages:
        for mark in page.marks:
            if isinstance(mark, Line | Hatch) or (isinstance(mark, Rect | Polygon) and mark.weight):
                assert 1.05 / (_luminance(mark.grey) + 0.05) >= 4.5, mark


@pytest.mark.parametrize("bold", [False, True])
def test_widths_agree_with_the_font_read_by_another_library(bold: bool) -> None:
    from io import BytesIO

    font = TTFont(BytesIO(font_bytes(FONT_FILES[bold])))
    cmap, advances, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    for text in ("7 3/8", "drawer side#1", "△ Ünïcode × 12", "0123456789"):
        expected = sum(advances[cmap[ord(c)]][0] for c in text) / em * 11
        assert width_of(clean(text), 11, bold) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_come_out_printable_and_within_their_room(name: str) -> None:
    text = clean(name)
    assert all(unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Cn") for c in text)
    for line in wrap(name, 80, 9):
        assert width_of(line, 9) <= 80
    assert width_of(shorten(name, 50, 9), 9) <= 50
    assert "".join(wrap(name, 80, 9)).replace(" ", "") == text.replace(" ", "")


def test_a_fraction_is_never_parted_from_its_whole_number() -> None:
    text = "5/8 × 5 5/8 × 20 11/16 and ~3 1/64 of 12 1/2"
    for room in range(20, 200, 5):
        lines = wrap(text, room, 9)
        if all(width_of(word, 9) <= room for word in ("20 11/16", "~3 1/64", "12 1/2")):
            assert not any(a[-1:].isdigit() and b[:1].isdigit() and "/" in b.split()[0] for a, b in pairwise(lines))
    assert wrap("finished 20 11/16", 60, 9) == ("finished", "20 11/16")


def test_figures_beside_right_to_left_names_keep_their_order() -> None:
    assert clean("לוח 3 1/2") == "חול 3 1/2"
    assert clean("אב גד x") == "דג בא x"


@pytest.mark.parametrize("paper", [LETTER, A4, PHONE], ids=lambda p: p.name)
def test_what_to_buy_can_be_read(paper: Paper) -> None:
    """Long names of dealers and parts, every section, both charts."""
    job, plan = made_up(1, boards=2)
    pages = [p for p in draw_packet(job, plan, paper, "2026-01-01", what_to_buy()).pages if p.kind == "buying"]
    text = " ".join(t.text for page in pages for t in page.texts())
    for heading in ("Missing on the rack", "Boards to take", "To buy", "running short", "The options", "Resaw 8/4", "Wide parts"):
        assert heading in text
    assert small_text(pages) == []
    assert off_page(pages) == []
    assert overlapping(pages) == []
