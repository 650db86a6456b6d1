"""Pages that are filled from the top, whole or in columns, with a head and a foot on each."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Self

from yieldopt.drawing.page.lettering import ABOVE, BELOW, DENSE_LEADING, LEADING, SMALLEST, clean, shorten, width_of, wrap
from yieldopt.drawing.page.paper import LETTER, PHONE, Paper
from yieldopt.drawing.page.primitives import Line, Page, Rect, Text
from yieldopt.drawing.page.tints import RED


@dataclass(frozen=True, slots=True)
class Running:
    """What stands in the head and foot of every page of one kind."""

    # Large, at the left of the head: a board's name, "Milling order".
    title: str
    # Small, at the right of the head: job, plan revision, date.
    right: tuple[str, ...]
    # Across the head of every page where it is not empty: that the plan is incomplete.
    banner: str
    # The foot, before the page number.
    foot: str
    kind: str


@dataclass(frozen=True, slots=True)
class _Columns:
    """How a page is parted: `count` columns of `width`, `gap` between; `top` and `lowest` where they begin and end so far."""

    count: int
    width: float
    gap: float
    top: float
    index: int = 0
    lowest: float = 0.0
    # Where each column ends, and how tall those of further pages are; 0: down to the foot of the page.
    bottom: float = 0.0
    further: float = 0.0


FOOT = 26.0
# Columns are made longer by so much until all of them end on one page, in points.
LEVELLING = 14.0
# No columns are begun in less room than this.
LEAST_COLUMN = 48.0


class Filling:
    """Pages of one kind, filled from the top. `paper.height` None gives one page as long as it needs to be."""

    def __init__(self, paper: Paper, running: Running, dense: bool = False) -> None:
        """`dense`: little white between lines and headings, for a sheet that is to hold all of a board."""
        self.paper = paper
        self.running = running
        self.dense = dense
        self.pages: list[Page] = []
        self.y = 0.0
        # Kept clear at the right of paragraphs, in points: something stands there.
        self.beside = 0.0
        self._columns: _Columns | None = None
        # Where the filling of this page began, and whether something was taller than the column it stands in.
        self._page_top = 0.0
        self._overfull = False
        self._start()

    @property
    def left(self) -> float:
        c = self._columns
        return self.paper.margin + (c.index * (c.width + c.gap) if c else 0.0)

    @property
    def right(self) -> float:
        return self.left + self.inner_width

    @property
    def inner_width(self) -> float:
        """Width of the column that is being filled, or of the page between its margins."""
        return self._columns.width if self._columns else self.paper.inner_width

    @property
    def leading(self) -> float:
        """Height of a line, in shares of its size."""
        return DENSE_LEADING if self.dense else LEADING

    @property
    def parted(self) -> bool:
        """Whether columns are being filled."""
        return self._columns is not None

    @property
    def page(self) -> Page:
        return self.pages[-1]

    @property
    def bottom(self) -> float:
        if self._columns and self._columns.bottom:
            return self._columns.bottom
        return float("inf") if self.paper.height is None else self.paper.height - self.paper.margin - FOOT

    @property
    def room(self) -> float:
        return self.bottom - self.y

    def need(self, height: float) -> None:
        """Begin a new column or page unless `height` points are left in this one, or it is a whole page that is still empty."""
        while height > self.room and (self.y > self._top or self._top > self._page_top):
            self._next()
        self._overfull |= height > self.room

    def begin_columns(self, count: int, gap: float = 14.0) -> None:
        """From here on fill `count` columns beside each other, on this page and the next; a screen has one."""
        self.end_columns()
        if count > 1 and self.paper.height is not None:
            self.need(LEAST_COLUMN)
            self._columns = _Columns(count, (self.paper.inner_width - (count - 1) * gap) / count, gap, self.y)
            self._top = self.y

    def end_columns(self) -> None:
        """Back to the whole width, below the longest column."""
        if self._columns:
            self.y = max(self.y, self._columns.lowest)
            self._columns = None

    def _next(self) -> None:
        """The next column, or the first of the next page."""
        c = self._columns
        if c and c.index + 1 < c.count:
            self._columns = replace(c, index=c.index + 1, lowest=max(c.lowest, self.y))
            self.y = c.top
            return
        self._columns = None
        self._start()
        if c:
            bottom = self.y + c.further if c.further and self.y + c.further < self.bottom else 0.0
            self._columns = replace(c, index=0, lowest=0.0, top=self.y, bottom=bottom)
            self._top = self.y

    def in_columns(self, count: int, draw: Callable[[Self], None], gap: float = 14.0) -> None:
        """What `draw` lays down, in columns that end about level where all of it fits on this page."""
        if self.paper.height is not None:
            self.need(LEAST_COLUMN)
        start = self.mark()
        self.begin_columns(count, gap)
        if self._columns is None:
            draw(self)
            return
        strip = replace(self.paper, width=self._columns.width + 2 * self.paper.margin, height=None)
        tall = type(self)(strip, self.running, self.dense)
        tall._columns = replace(self._columns, count=1, top=tall.y)
        before = tall.y
        draw(tall)
        height, room = (tall.y - before) / count, self.room
        # Beyond what this page holds, the columns of the next are levelled.
        here, pages = height < room, start[0] if height < room else start[0] + 1
        height = height if here else height - room
        while height < self.paper_room:
            c = self._columns
            self._columns = replace(c, bottom=self.y + height) if here else replace(c, further=height)
            self._overfull = False
            draw(self)
            if len(self.pages) == pages and not self._overfull:
                break
            self.back_to(start)
            self.begin_columns(count, gap)
            height += LEVELLING
            if here and height >= room:
                here, pages, height = False, pages + 1, LEVELLING
        else:
            draw(self)
        self.end_columns()

    @property
    def paper_room(self) -> float:
        """Height of a page between its margins."""
        return math.inf if self.paper.height is None else self.paper.height - 2 * self.paper.margin

    def new_page(self) -> None:
        if (self.y > self._top or self._columns) and self.paper.height is not None:
            self._columns = None
            self._start()

    def mark(self) -> tuple[int, int, float, float, _Columns | None]:
        """Where the flow stands, for `back_to`."""
        return len(self.pages), len(self.page.marks), self.y, self._top, self._columns

    def back_to(self, mark: tuple[int, int, float, float, _Columns | None]) -> None:
        """Take back everything laid down since `mark`."""
        pages, marks, self.y, self._top, self._columns = mark
        del self.pages[pages:]
        del self.page.marks[marks:]

    def gap(self, height: float) -> None:
        self.y += height

    def _start(self) -> None:
        r, paper = self.running, self.paper
        page = Page(paper.width, paper.height or 0.0, clean(r.title), r.kind)
        self.pages.append(page)
        narrow = paper.height is None
        size = 19.0 if narrow or self.dense else 24.0
        y = paper.margin + size * ABOVE
        # On a dense page two lines have to do.
        head = (r.right[0], " · ".join(r.right[1:])) if self.dense and not narrow else r.right
        room = 300.0 if self.dense else 190.0
        right_width = 0.0 if narrow else max((width_of(shorten(t, room, SMALLEST), SMALLEST) for t in head), default=0)
        for line in wrap(r.title, paper.inner_width - right_width - 14, size, True, most=2):
            page.add(Text(self.left, y, line, size, True, role="title"))
            y += size * LEADING
        y -= size * (LEADING - BELOW)
        under = paper.margin + SMALLEST * ABOVE
        if narrow:
            under = y + SMALLEST * LEADING
        for line in head:
            if narrow:
                page.add(Text(self.left, under, shorten(line, paper.inner_width, SMALLEST), SMALLEST))
            else:
                page.add(Text(self.right, under, shorten(line, room, SMALLEST), SMALLEST, anchor="end"))
            under += SMALLEST * LEADING
        self.y = max(y, under - SMALLEST * LEADING + SMALLEST * BELOW) + 4
        # A chalk line: one heavy stroke.
        page.add(Line(self.left, self.y, self.right, self.y, 2.0))
        self.y += 6
        if r.banner:
            self._banner(r.banner)
        self._top = self._page_top = self.y

    def _banner(self, text: str) -> None:
        lines = wrap(text, self.inner_width - 12, 10, True, most=4)
        height = len(lines) * 10 * LEADING + 6
        self.page.add(Rect(self.left, self.y, self.inner_width, height, 1.4, role="banner", ink=RED))
        for i, line in enumerate(lines):
            self.page.add(Text(self.left + 6, self.y + 4 + 10 * ABOVE + i * 10 * LEADING, line, 10, True, role="banner-text"))
        self.y += height + 6

    def finish(self) -> list[Page]:
        """The pages, with their foot; page numbers are put in by `number_pages` once all pages are known."""
        if self.paper.height is None:
            self.page.height = self.y + self.paper.margin + FOOT
        return self.pages


def number_pages(pages: Sequence[Page], foot: str) -> None:
    """Write the foot of every page: what the packet is, cautions in short, page n of N."""
    for n, page in enumerate(pages, 1):
        margin = PHONE.margin if page.width <= PHONE.width else LETTER.margin
        y = page.height - margin - 4
        page.add(Line(margin, y - 13, page.width - margin, y - 13, 0.6))
        count = f"page {n} of {len(pages)}"
        page.add(Text(page.width - margin, y, count, SMALLEST, anchor="end"))
        room = page.width - 2 * margin - width_of(count, SMALLEST) - 12
        page.add(Text(margin, y, shorten(foot, room, SMALLEST), SMALLEST))
