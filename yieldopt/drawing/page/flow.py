"""Lettering and tables that run down the pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from yieldopt.drawing.page.filling import Filling
from yieldopt.drawing.page.lettering import ABOVE, SMALLEST, clean, widest_word, width_of, wrap, wrap_mixed
from yieldopt.drawing.page.marks import RING_PAD, ring
from yieldopt.drawing.page.primitives import Line, Rect, Text
from yieldopt.drawing.page.tints import RED


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


# Text, bold, ringed.
Cell = tuple[str, bool, bool]

TICK = 11.0
# Between a cell and the next, in points; on a dense page.
PAD, DENSE_PAD = 6.0, 4.5
# Between items of one line, and between an item's name and its words, in points.
BETWEEN, APART = 12.0, 3.0
# Paragraphs of up to so many lines are not parted between columns.
WHOLE_LINES = 8
# Lines of one cell: enough that no cut of a long list is lost in a column.
MOST_LINES = 40


class Flow(Filling):
    """Lays down headings, paragraphs, cautions and tables."""

    @property
    def pad(self) -> float:
        """Room between a cell and the next, in points."""
        return DENSE_PAD if self.dense else PAD

    def heading(self, text: str, size: float = 12.5, keep: float = 64.0) -> None:
        """A heading that stays with at least `keep` points of what follows."""
        size, above = (min(size, 11.0), 3.0) if self.dense else (size, 8.0)
        lines = wrap(text, self.inner_width, size, True)
        self.need(len(lines) * size * self.leading + above + keep)
        self.y += above
        for line in lines:
            self.page.add(Text(self.left, self.y + size * ABOVE, line, size, True, role="heading"))
            self.y += size * self.leading
        self.y += 1 if self.dense else 2

    def paragraph(self, text: str, size: float = 10.0, bold: bool = False, tick: bool = False, indent: float = 0.0) -> None:
        """A paragraph; with `tick`, behind a box to tick."""
        inset = indent + (TICK + 6 if tick else 0)
        lines = wrap(text, self.inner_width - self.beside - inset, size, bold)
        if self.parted:
            # Not half at the foot of one column and half at the head of the next.
            self.need(min(len(lines), WHOLE_LINES) * size * self.leading)
        for n, line in enumerate(lines):
            self.need(size * self.leading)
            left = self.left + inset
            if n == 0 and tick:
                self.page.add(Rect(self.left + indent, self.y + 0.5, TICK - 2, TICK - 2, 0.8, role="tick"))
            self.page.add(Text(left, self.y + size * ABOVE, line, size, bold))
            self.y += size * self.leading
        self.y += 1 if self.dense else 2

    def lead(self, head: str, text: str, size: float = 9.0) -> None:
        """A paragraph that begins with a bold head."""
        for first, rest in wrap_mixed(head, text, self.inner_width, size):
            self.need(size * self.leading)
            self._mixed(self.left, self.y + size * ABOVE, first, rest, size)
            self.y += size * self.leading
        self.y += 2 if self.dense else 4

    def _mixed(self, x: float, y: float, first: str, rest: str, size: float, role: str = "") -> None:
        if first:
            self.page.add(Text(x, y, first, size, True, role=role))
            x += width_of(first, size, True) + width_of(" ", size)
        if rest:
            self.page.add(Text(x, y, rest, size, role=role))

    def caution(self, text: str, strong: bool = True) -> None:
        """A caution on its own line: a heavy red bar at the margin, which is seen in grey too; bold, where it is `strong`, as far
        as it names what it is about."""
        size = 9.5 if self._columns is None else SMALLEST
        head, colon, rest = text.partition(": ")
        named, colon, advice = rest.partition(". ") if head.isupper() else ("", colon, "")
        bold, plain = (f"{head}: {named}{colon}", advice) if advice else (text, "") if strong else ("", text)
        lines = wrap_mixed(bold, plain, self.inner_width - 12, size)
        height = len(lines) * size * self.leading
        self.need(height)
        self.page.add(Rect(self.left, self.y, 4, height, 0, fill=0.0, role="caution", tint=RED))
        for i, (first, rest) in enumerate(lines):
            self._mixed(self.left + 12, self.y + size * ABOVE + i * size * self.leading, first, rest, size, "caution-text")
        self.y += height + (2 if self.dense else 3)

    def items(self, rows: Sequence[tuple[str, str]], size: float = 9.0) -> None:
        """A box to tick, a bold name and a few words for each row, beside each other as long as a line has room."""
        x, right = self.left, self.right
        for name, words in rows:
            name, words = clean(name), clean(words)
            lead = TICK + 6
            wide = lead + width_of(name, size, True) + APART + width_of(words, size)
            if x > self.left and x + wide > right:
                x, self.y = self.left, self.y + size * self.leading + 1
            if x == self.left:
                self.need(size * self.leading + 1)
                x, right = self.left, self.right
            if wide > self.inner_width:
                self._long_item(name, words, size)
                x = self.left
                continue
            self._item(x, name, size)
            self.page.add(Text(x + lead + width_of(name, size, True) + APART, self.y + size * ABOVE, words, size))
            x += wide + BETWEEN
        self.y += (size * self.leading if x > self.left else 0.0) + (2 if self.dense else 4)

    def _item(self, x: float, name: str, size: float) -> None:
        self.page.add(
            Rect(x, self.y, TICK - 2, TICK - 2, 0.8, role="tick"), Text(x + TICK + 6, self.y + size * ABOVE, name, size, True)
        )

    def _long_item(self, name: str, words: str, size: float) -> None:
        """One that takes more than a line: its words go on below its name."""
        room = self.inner_width - TICK - 6
        names = wrap(name, room, size, True)
        self.need(2 * size * self.leading)
        for n, line in enumerate(names):
            self.need(size * self.leading)
            if n == 0:
                self._item(self.left, line, size)
            else:
                self.page.add(Text(self.left + TICK + 6, self.y + size * ABOVE, line, size, True))
            self.y += size * self.leading
        used = width_of(names[-1], size, True) + APART
        first, *_ = wrap(words, room - used, size) if room - used > 40 else ("",)
        if first:
            self.page.add(Text(self.left + TICK + 6 + used, self.y - size * self.leading + size * ABOVE, first, size))
        for line in wrap(words[len(first) :].strip(), room, size):
            if line:
                self.need(size * self.leading)
                self.page.add(Text(self.left + TICK + 6, self.y + size * ABOVE, line, size))
                self.y += size * self.leading
        self.y += 1

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
        self.need(
            _height(self._wrapped(heads, widths, size), size, 2, self.leading)
            + _height(self._wrapped(first, widths, size), size, 1, self.leading)
        )
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
        wrapped = self._wrapped(cells, widths, size)
        height = _height(wrapped, size, after, self.leading)
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
                    self.page.add(*ring(x, self.y + 1 + size * ABOVE + i * size * self.leading, line, size, bold))
                elif line:
                    self.page.add(Text(x, self.y + 1 + size * ABOVE + i * size * self.leading, line, size, bold))
            x += w
        self.y += height

    def _wrapped(self, cells: Sequence[Cell], widths: Sequence[float], size: float) -> list[Sequence[str]]:
        """The lines of each cell of a table's row."""
        return [
            wrap(text, w - self.pad + 0.5 - (2 * RING_PAD if ringed else 0), size, bold, most=MOST_LINES)
            for (text, bold, ringed), w in zip(cells, widths, strict=True)
        ]

    def _column_widths(
        self, columns: Sequence[Column], rows: Sequence[Sequence[str]], room: float, size: float
    ) -> list[float] | None:
        natural, least, whole = [], [], []
        for i, c in enumerate(columns):
            texts = [(c.head, True), *((row[i], c.bold) for row in rows)]
            natural.append(max(width_of(clean(t), size, b) for t, b in texts) + self.pad + (2 * RING_PAD if c.ringed else 0))
            least.append(max(c.least, min(max(widest_word(t, size, b) for t, b in texts), 90) + self.pad))
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
            self.need(2 * size * self.leading)
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


def _height(wrapped: Sequence[Sequence[str]], size: float, after: float, leading: float) -> float:
    return max(len(lines) for lines in wrapped) * size * leading + after + 1
