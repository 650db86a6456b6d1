"""A reader of sheets who knows nothing of the program: words with their places on paper, from an SVG or a PDF, and from them the
cuts and blanks of a board. Nothing here knows the packet's code, the plan, or what marks are called in the files."""

from __future__ import annotations

import re
import subprocess
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction as F
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

HTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"
# Words stand on one line, or in one column, if their places differ by no more than this, in points.
SAME = 1.5
# Words of one cell stand closer than this.
ONE_STRETCH = 4.0
# Lines of one cell lie closer than this.
ONE_LINE = 11.5


@dataclass(frozen=True)
class Word:
    """A stretch of lettering: page, place of its left end (y grows downwards), size, text."""

    page: int
    x: float
    y: float
    size: float
    text: str


@dataclass(frozen=True)
class ReadCut:
    """A cut as listed. `start` and `end` None: right across or right along. `blank`: what it is made in, if not the board."""

    order: int
    kind: str
    at: F
    start: F | None
    end: F | None
    blank: str


@dataclass(frozen=True)
class ReadBlank:
    """A blank as listed: near corner from the datum end and the near edge, rough length and width."""

    name: str
    x: F
    y: F
    length: F
    width: F


@dataclass
class ReadBoard:
    """All that is listed of a board."""

    cuts: dict[int, ReadCut] = field(default_factory=dict)
    blanks: dict[str, ReadBlank] = field(default_factory=dict)


def svg_words(text: str) -> list[Word]:
    """The words of an SVG file, page by page, at their left ends."""
    found = []
    for page, group in enumerate(ElementTree.fromstring(text).iter(f"{SVG}g")):
        for e in group.iter(f"{SVG}text"):
            if e.get("transform"):
                continue
            wide = float(e.get("textLength", "0"))
            back = {"middle": wide / 2, "end": wide}.get(e.get("text-anchor", ""), 0.0)
            found.append(
                Word(page, float(e.get("x", "")) - back, float(e.get("y", "")), float(e.get("font-size", "9")), e.text or "")
            )
    return found


def pdf_words(path: Path) -> list[Word]:
    """The words of a PDF file, page by page, as `pdftotext` of the Poppler tools finds them; closer than a column's gap they
    are one stretch."""
    text = subprocess.run(["pdftotext", "-bbox", str(path), "-"], capture_output=True, check=True).stdout
    found: list[Word] = []
    for number, page in enumerate(ElementTree.fromstring(text).iter(f"{HTML}page")):
        right, bottom = -1e9, -1e9
        for e in page.iter(f"{HTML}word"):
            x0, y0, x1, y1 = (float(e.get(k, "")) for k in ("xMin", "yMin", "xMax", "yMax"))
            if abs(y1 - bottom) < 0.1 and 0 <= x0 - right < ONE_STRETCH and found[-1].page == number:
                found[-1] = replace(found[-1], text=f"{found[-1].text} {e.text}")
            else:
                found.append(Word(number, x0, y0, y1 - y0, e.text or ""))
            right, bottom = x1, y1
    return found


def boards_in(words: Iterable[Word]) -> dict[str, ReadBoard]:
    """Every board of which there is a sheet: a page is told by the name in its first corner."""
    pages: dict[int, list[Word]] = defaultdict(list)
    for w in words:
        pages[w.page].append(w)
    found: dict[str, ReadBoard] = defaultdict(ReadBoard)
    for some in pages.values():
        name = min(some, key=lambda w: w.x + w.y).text
        for cut in _cuts(some):
            found[name].cuts[cut.order] = cut
        for blank in _blanks(some):
            found[name].blanks[blank.name] = blank
    return dict(found)


def length(text: str) -> F:
    """`~20 3/4`, `187.5`."""
    return sum((F(w) for w in text.replace("~", "").split()), F(0))


def _tables(words: Sequence[Word], heads: Sequence[str]) -> Iterator[list[list[Word]]]:
    """The rows below every line that begins with these heads: cells that begin where their heads do. A row begins with a word
    under the first head."""
    for first in (w for w in words if w.text == heads[0]):
        line = sorted((w for w in words if abs(w.y - first.y) < SAME and w.x >= first.x - SAME), key=lambda w: w.x)
        if [w.text for w in line[: len(heads)]] != list(heads):
            continue
        columns = [w.x for w in line]
        again = [w.y for w in words if w.text == heads[0] and abs(w.x - first.x) < SAME and w.y > first.y + SAME]
        below = [w for w in words if first.y + SAME < w.y < min(again, default=1e9) and w.x >= first.x - SAME]
        rows = []
        begins = sorted((w for w in below if abs(w.x - first.x) < SAME), key=lambda w: w.y)
        for begin, after in pairwise([*begins, Word(0, 0, 1e9, 0, "")]):
            row = [w for w in below if begin.y - SAME < w.y < after.y - SAME]
            rows.append([_cell([w for w in row if abs(w.x - x) < SAME], begin, x) for x in columns])
        yield rows


def _cell(words: Sequence[Word], begin: Word, x: float) -> Word:
    """What stands in a cell, in lines close below each other."""
    lines: list[Word] = []
    for w in sorted(words, key=lambda w: w.y):
        if w.y - (lines[-1].y if lines else begin.y) < ONE_LINE:
            lines.append(w)
    return Word(begin.page, x, begin.y, begin.size, " ".join(w.text for w in lines))


LATER = re.compile(r"(?:Resaw|Final) cuts: (crosscut|rip|resaw)s [^.]*\. ")
ITEM = re.compile(r"(\d+) (.+?)(?:, layer \d+)? at (~?[\d /.]+) \([^()]*\)(?: ✓done)? ?")


def _cuts(words: Sequence[Word]) -> Iterator[ReadCut]:
    for unit in ("mm", "in"):
        for rows in _tables(words, ("no.", "cut", "at", unit, "along")):
            for cells in rows:
                number, kind, at, _, more = (w.text for w in cells[:5])
                kind = kind.removesuffix(" ✓done")
                if not number.isdecimal() or kind not in ("crosscut", "rip") or not at:
                    continue
                span = re.fullmatch(r"(.+) to (.+)", more)
                ends = (length(span[1]), length(span[2])) if span else (None, None)
                assert span or more in ("full width", "full length"), more
                yield ReadCut(int(number), kind, length(at), *ends, "")
    text = " ".join(w.text for w in sorted(words, key=lambda w: (round(w.y / SAME), w.x))) + " "
    for said in LATER.finditer(text):
        begin = said.end()
        while item := ITEM.match(text, begin):
            yield ReadCut(int(item[1]), said[1], length(item[3]), None, None, item[2])
            begin = item.end()


def _blanks(words: Sequence[Word]) -> Iterator[ReadBlank]:
    for rows in _tables(words, ("blank", "near corner", "rough L × W")):
        for cells in rows:
            name, corner, size = (w.text for w in cells[:3])
            if " ; " in corner and " × " in size:
                x, y = (length(t) for t in corner.split(" ; "))
                long, wide = (length(t) for t in size.split(" × "))
                yield ReadBlank(name, x, y, long, wide)
