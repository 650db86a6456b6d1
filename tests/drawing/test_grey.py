"""Printed in grey, pages stay legible: rendered by the Poppler tools, and contrast measured on the picture."""

from __future__ import annotations

import subprocess
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from made_up import made_up

from yieldopt.drawing.backends.pdf import write_pdf
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.drawing.page.lettering import box_of
from yieldopt.drawing.page.primitives import Page, Rect, Text

DPI = 200
Box = tuple[float, float, float, float]
# W3C, WCAG 2.2: 1.4.3 (lettering), 1.4.6 (lettering on tints), 1.4.11 (drawn things).
LETTERING, ON_TINTS, DRAWN = 4.5, 7.0, 3.0


class Picture:
    """A page in grey, as bytes from 0 (black) to 255."""

    def __init__(self, path: Path) -> None:
        kind, size, most, self.levels = path.read_bytes().split(b"\n", 3)
        assert (kind, most) == (b"P5", b"255")
        self.width, self.height = map(int, size.split())

    def within(self, box: Box) -> bytes:
        """All levels inside a box on the page, in points."""
        left, top, right, bottom = (int(v * DPI / 72) for v in box)
        rows = range(max(0, top), min(self.height, bottom + 1))
        return b"".join(self.levels[y * self.width + max(0, left) : y * self.width + right + 1] for y in rows)

    def contrast(self, box: Box) -> float:
        """Of the darkest with the lightest."""
        return _ratio(min(self.within(box)), max(self.within(box)))


def _ratio(dark: int, light: int) -> float:
    """W3C, WCAG 2.2, relative luminance and contrast ratio."""
    low, high = (v / 255 / 12.92 if v <= 10 else ((v / 255 + 0.055) / 1.055) ** 2.4 for v in (dark, light))
    return (high + 0.05) / (low + 0.05)


def _pictures(pages: list[Page], folder: Path) -> Iterator[tuple[Page, Picture]]:
    (folder / "pages.pdf").write_bytes(write_pdf(pages, "grey"))
    subprocess.run(["pdftoppm", "-gray", "-r", str(DPI), "pages.pdf", "page"], cwd=folder, check=True)
    yield from zip(pages, map(Picture, sorted(folder.glob("page-*.pgm"))), strict=True)


def _faint(page: Page, picture: Picture) -> list[str]:
    """What on a page can't be told from what is round it."""
    found = []
    for m in page.marks:
        if isinstance(m, Text) and m.text.strip() and picture.contrast(box_of(m)) < LETTERING:
            found.append(m.text)
        if not isinstance(m, Rect) or min(m.width, m.height) <= 1:
            continue
        box = (m.x - 1, m.y - 1, m.x + m.width + 1, m.y + m.height + 1)
        if m.role == "defect" and picture.contrast(box) < DRAWN:
            found.append("defect")
        if m.tint and m.role in ("piece", "member") and _ratio(0, _ground(m, picture)) < ON_TINTS:
            found.append(f"tint {m.tint}")
    return found


def _ground(m: Rect, picture: Picture) -> int:
    """The level that most of a rectangle has, but for strokes and the white behind lettering."""
    levels = Counter(picture.within((m.x, m.y, m.x + m.width, m.y + m.height)))
    for ink in (0, 255):
        levels.pop(ink, None)
    return levels.most_common(1)[0][0] if levels else 255


@pytest.fixture(scope="module")
def pages() -> list[Page]:
    return draw_packet(*made_up(1, boards=3), sections=("pull", "wall", "sheets", "milling")).pages


def test_lettering_flaws_and_tints_are_told_apart_in_a_grey_print(pages: list[Page], tmp_path: Path) -> None:
    assert any(getattr(m, "tint", "") and getattr(m, "role", "") == "piece" for p in pages for m in p.marks)
    assert any(getattr(m, "role", "") == "defect" for p in pages for m in p.marks)
    assert {p.title: some for p, picture in _pictures(pages, tmp_path) if (some := _faint(p, picture))} == {}


def test_faint_red_and_dark_tints_are_found(pages: list[Page], tmp_path: Path) -> None:
    """The measure itself: the same pages with flaws drawn in a pale red, and with a tint too dark for lettering."""

    def spoilt(m: object) -> object:
        if isinstance(m, Rect) and m.role == "defect":
            return replace(m, ink="#ffe0e0")
        return replace(m, tint="#405060") if isinstance(m, Rect) and m.role == "piece" and m.tint else m

    sheet = next(
        p
        for p in pages
        if {"defect", "piece"} <= {getattr(m, "role", "") for m in p.marks} and any(getattr(m, "tint", "") for m in p.marks)
    )
    kept = [spoilt(m) for m in sheet.marks if getattr(m, "role", "") != "defect-hatch"]
    ((page, picture),) = _pictures([replace(sheet, marks=kept)], tmp_path)  # type: ignore[arg-type]
    assert any(word.startswith("tint") for word in _faint(page, picture))
