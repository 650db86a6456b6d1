"""What the tests ask of every page, whatever is on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from yieldopt.drawing.page.lettering import SMALLEST, box_of
from yieldopt.drawing.page.primitives import Page, Text


def small_text(pages: Iterable[Page]) -> list[Text]:
    """Lettering under the smallest size."""
    return [t for p in pages for t in p.texts() if t.size < SMALLEST]


def off_page(pages: Iterable[Page], margin: float = 4.0) -> list[tuple[str, str]]:
    """(page, text) of lettering that leaves the page or its margin."""
    found = []
    for p in pages:
        for t in p.texts():
            left, top, right, bottom = box_of(t)
            if left < margin or top < margin or right > p.width - margin or bottom > p.height - margin:
                found.append((p.title, t.text))
    return found


def overlapping(pages: Sequence[Page], grace: float = 0.3) -> list[tuple[str, str, str]]:
    """(page, text, text) of pairs whose measured boxes overlap by more than `grace` points both ways."""
    found = []
    for p in pages:
        boxes = sorted(((box_of(t), t.text) for t in p.texts() if t.text), key=lambda b: b[0][1])
        for i, (a, first) in enumerate(boxes):
            for b, second in boxes[i + 1 :]:
                if b[1] >= a[3] - grace:
                    break
                if a[0] < b[2] - grace and b[0] < a[2] - grace and a[1] < b[3] - grace:
                    found.append((p.title, first, second))
    return found
