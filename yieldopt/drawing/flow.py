"""Lettering and tables that run down the pages, with a head and a foot on each."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from yieldopt.drawing.lettering import ABOVE, BELOW, LEADING, SMALLEST, clean, shorten, widest_word, width_of, wrap
from yieldopt.drawing.marks import RING_PAD, ring
from yieldopt.drawing.paper import LETTER, PHONE, Paper
from yieldopt.drawing.primitives import Line, Page, Rect, Text
from yieldopt.drawing.tints import RED


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
class Column:
    """One column of a table."""

    head: str
    bold: bool = False
    # Never narrower than this, in points.
    least: float = 20.0
    # Figures in the ring of the parts list's numbers.
    ringed: bool = False
    # Its cells stay on one line.
    whole: bool = False


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


# Text, bold, ringed.
Cell = tuple[str, bool, bool]

FOOT = 26.0
# Columns are made longer by so much until all of them end on one page, in points.
LEVELLING = 14.0
# No columns are begun in less room than this.
LEAST_COLUMN = 48.0
TICK = 11.0
# Between a cell and the next, in points.
PAD = 6.0
# Lines of one cell: enough that no cut of a long list is lost in a column.
MOST_LINES = 40


class Flow:
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

    def in_columns(self, count: int, draw: Callable[[Flow], None], gap: float = 14.0) -> None:
        """What `draw` lays down, in columns that end about level where all of it fits on this page."""
        if self.paper.height is not None:
            self.need(LEAST_COLUMN)
        start = self.mark()
        self.begin_columns(count, gap)
        if self._columns is None:
            draw(self)
            return
        tall = Flow(replace(self.paper, width=self._columns.width + 2 * self.paper.margin, height=None), self.running, self.dense)
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
        right_width = 0.0 if narrow else max((width_of(shorten(t, 190, SMALLEST), SMALLEST) for t in r.right), default=0)
        for line in wrap(r.title, paper.inner_width - right_width - 14, size, True, most=2):
            page.add(Text(self.left, y, line, size, True, role="title"))
            y += size * LEADING
        y -= size * (LEADING - BELOW)
        under = paper.margin + SMALLEST * ABOVE
        if narrow:
            under = y + SMALLEST * LEADING
        for line in r.right:
            if narrow:
                page.add(Text(self.left, under, shorten(line, paper.inner_width, SMALLEST), SMALLEST))
            else:
                page.add(Text(self.right, under, shorten(line, 190, SMALLEST), SMALLEST, anchor="end"))
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

    def heading(self, text: str, size: float = 12.5, keep: float = 64.0) -> None:
        """A heading that stays with at least `keep` points of what follows."""
        size, above = (min(size, 11.0), 3.0) if self.dense else (size, 8.0)
        lines = wrap(text, self.inner_width, size, True)
        self.need(len(lines) * size * LEADING + above + keep)
        self.y += above
        for line in lines:
            self.page.add(Text(self.left, self.y + size * ABOVE, line, size, True, role="heading"))
            self.y += size * LEADING
        self.y += 1 if self.dense else 2

    def paragraph(self, text: str, size: float = 10.0, bold: bool = False, tick: bool = False, indent: float = 0.0) -> None:
        """A paragraph; with `tick`, behind a box to tick."""
        inset = indent + (TICK + 6 if tick else 0)
        for n, line in enumerate(wrap(text, self.inner_width - self.beside - inset, size, bold)):
            self.need(size * LEADING)
            left = self.left + inset
            if n == 0 and tick:
                self.page.add(Rect(self.left + indent, self.y + 0.5, TICK - 2, TICK - 2, 0.8, role="tick"))
            self.page.add(Text(left, self.y + size * ABOVE, line, size, bold))
            self.y += size * LEADING
        self.y += 1 if self.dense else 2

    def caution(self, text: str) -> None:
        """A caution on its own line: a heavy red bar at the margin, which is seen in grey too."""
        size = 9.5 if self._columns is None else SMALLEST
        lines = wrap(text, self.inner_width - 12, size, True)
        height = len(lines) * size * LEADING
        self.need(height)
        self.page.add(Rect(self.left, self.y, 4, height, 0, fill=0.0, role="caution", tint=RED))
        for i, line in enumerate(lines):
            self.page.add(Text(self.left + 12, self.y + size * ABOVE + i * size * LEADING, line, size, True, role="caution-text"))
        self.y += height + (2 if self.dense else 3)

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[str]], tick: bool = False, size: float = 9.0) -> None:
        """A table; where the page is too narrow for it each row becomes a stack of lines with the heads before them."""
        if not rows:
            return
        lead = TICK + 6 if tick else 0.0
        widths = self._column_widths(columns, rows, self.inner_width - lead, size)
        if widths is None:
            self._stack(columns, rows, tick, size)
            return
        heads = [(c.head, True, False) for c in columns]
        first = [(text, c.bold, c.ringed) for text, c in zip(rows[0], columns, strict=True)]
        # A head never stands alone at the foot of a page.
        self.need(_height(_wrapped(heads, widths, size), size, 2) + _height(_wrapped(first, widths, size), size, 1))
        self._row(heads, widths, lead, size, None, 2)
        self.page.add(Line(self.left, self.y - 1, self.right, self.y - 1, 0.9))
        for row in rows:
            cells = [(text, c.bold, c.ringed) for text, c in zip(row, columns, strict=True)]
            self._row(
                cells,
                widths,
                lead,
                size,
                tick,
                0 if self.dense else 1,
                lambda: self._row(heads, widths, lead, size, None, 2),
            )
            self.page.add(Line(self.left, self.y - 1, self.right, self.y - 1, 0.25, grey=0.4))
        self.y += 2 if self.dense else 4

    def _row(
        self,
        cells: Sequence[Cell],
        widths: Sequence[float],
        lead: float,
        size: float,
        tick: bool | None,
        after: float,
        head: Callable[[], None] | None = None,
    ) -> None:
        wrapped = _wrapped(cells, widths, size)
        height = _height(wrapped, size, after)
        if height > self.room and self.y > self._top:
            self._next()
            if head is not None:
                head()
        if tick:
            self.page.add(Rect(self.left, self.y + 1, TICK - 2, TICK - 2, 0.8, role="tick"))
        x = self.left + lead
        for (_, bold, ringed), lines, w in zip(cells, wrapped, widths, strict=True):
            for i, line in enumerate(lines):
                if line and ringed:
                    self.page.add(*ring(x, self.y + 1 + size * ABOVE + i * size * LEADING, line, size, bold))
                elif line:
                    self.page.add(Text(x, self.y + 1 + size * ABOVE + i * size * LEADING, line, size, bold))
            x += w
        self.y += height

    def _column_widths(
        self, columns: Sequence[Column], rows: Sequence[Sequence[str]], room: float, size: float
    ) -> list[float] | None:
        natural, least, whole = [], [], []
        for i, c in enumerate(columns):
            texts = [(c.head, True), *((row[i], c.bold) for row in rows)]
            natural.append(max(width_of(clean(t), size, b) for t, b in texts) + PAD + (2 * RING_PAD if c.ringed else 0))
            least.append(max(c.least, min(max(widest_word(t, size, b) for t, b in texts), 90) + PAD))
            whole.append(natural[-1] if c.whole else least[-1])
        if sum(whole) <= room:
            least = whole
        natural = [max(n, lo) for n, lo in zip(natural, least, strict=True)]
        if sum(natural) <= room:
            spare = room - sum(natural)
            return [n + spare * n / sum(natural) for n in natural]
        if sum(least) > room:
            return None
        give = room - sum(least)
        want = sum(n - lo for n, lo in zip(natural, least, strict=True))
        return [lo + give * (n - lo) / want for n, lo in zip(natural, least, strict=True)]

    def _stack(self, columns: Sequence[Column], rows: Sequence[Sequence[str]], tick: bool, size: float) -> None:
        """Each row as a bold line and the rest run on below it: a screen is long, but a thumb gets tired."""
        for row in rows:
            cells = [(c, text) for c, text in zip(columns, row, strict=True) if clean(text)]
            numbers = [text for c, text in cells if c.ringed]
            (_, head), *rest = [(c, text) for c, text in cells if not c.ringed] or [(columns[0], "")]
            indent = 0.0
            self.need(2 * size * LEADING)
            for number in " ".join(numbers).split():
                self.page.add(*ring(self.left + indent, self.y + (size + 1) * ABOVE, number, size))
                indent += width_of(number, size, True) + 2 * RING_PAD + 5
            self.paragraph(head, size + 1, bold=True, tick=tick, indent=indent)
            self.y -= 2
            if rest:
                self.paragraph(" · ".join(f"{c.head}: {text}" for c, text in rest if c.head), size, indent=17)
                self.y -= 2
            self.page.add(Line(self.left, self.y + 1, self.right, self.y + 1, 0.25, grey=0.4))
            self.y += 5

    def finish(self) -> list[Page]:
        """The pages, with their foot; page numbers are put in by `number_pages` once all pages are known."""
        if self.paper.height is None:
            self.page.height = self.y + self.paper.margin + FOOT
        return self.pages


def _wrapped(cells: Sequence[Cell], widths: Sequence[float], size: float) -> list[Sequence[str]]:
    """The lines of each cell of a table's row."""
    return [
        wrap(text, w - PAD + 0.5 - (2 * RING_PAD if ringed else 0), size, bold, most=MOST_LINES)
        for (text, bold, ringed), w in zip(cells, widths, strict=True)
    ]


def _height(wrapped: Sequence[Sequence[str]], size: float, after: float) -> float:
    return max(len(lines) for lines in wrapped) * size * LEADING + after + 1


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
