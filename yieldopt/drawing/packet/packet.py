"""The whole packet of a job: boards to fetch, all boards on one page, a sheet a board, milling order, and what is asked for."""

from __future__ import annotations

import gc
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace

from yieldopt.drawing.backends.page_html import write_html
from yieldopt.drawing.backends.pdf import write_pdf
from yieldopt.drawing.backends.svg import write_svg
from yieldopt.drawing.board.boardsheet import sheet_of
from yieldopt.drawing.charts.charts import chart_pages
from yieldopt.drawing.milling.milling import milling_pages
from yieldopt.drawing.packet.buying import buying_pages
from yieldopt.drawing.packet.cover import figure_pages
from yieldopt.drawing.packet.labels import label_pages
from yieldopt.drawing.packet.names import file_names
from yieldopt.drawing.packet.pull import pull_pages
from yieldopt.drawing.packet.surprises import second_pages
from yieldopt.drawing.packet.takealong import take_along_pages
from yieldopt.drawing.packet.wall import wall_pages
from yieldopt.drawing.page.filling import number_pages
from yieldopt.drawing.page.paper import LETTER, PHONE, Paper
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import FOOT, Setting, setting_for
from yieldopt.records.study import StudyRecord
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

# What a packet can hold, in its order, with what each is in plain words.
SECTIONS: Mapping[str, str] = {
    "buying": "what to take along to the dealer's, and what to buy",
    "pull": "the boards to fetch, in the order in which they lie",
    "wall": "all boards on one page",
    "sheets": "a sheet for each board",
    "milling": "the milling order, glue-ups and sets",
    "second": "where else show pieces could come from, and flaws in figures, of boards whose sheet has no room for it",
    "figures": "wood, money, parts",
    "charts": "where the wood went, and how the search went on",
    "labels": "labels for blanks and kept offcuts",
}
# Printed only where they are asked for.
ON_DEMAND = ("figures", "charts", "labels")
USUAL = tuple(name for name in SECTIONS if name not in ON_DEMAND)


@dataclass(frozen=True)
class Packet:
    """Recorded pages of one packet on one paper."""

    setting: Setting
    # By board name, in the plan's order; all sheets, whether the packet holds them or not.
    sheets: dict[str, list[Page]]
    before: list[Page]
    after: list[Page]
    holds_sheets: bool = True

    @property
    def pages(self) -> list[Page]:
        sheets = (p for pages in self.sheets.values() for p in pages) if self.holds_sheets else ()
        return [*self.before, *sheets, *self.after]


def draw_packet(
    job: Job,
    plan: Plan,
    paper: Paper = LETTER,
    date: str = "",
    buying: StudyRecord | None = None,
    sections: Collection[str] = USUAL,
    held: bool = False,
) -> Packet:
    """Record every page of the `sections`. The plan is taken to have passed its check; `date` is printed as it is, `buying` is
    what `source.json` holds; `held`: no page is turned, all lie as `paper` does."""
    return _record(replace(setting_for(job, plan, paper, date), buying=buying, held=held), sections)


def _record(s: Setting, sections: Collection[str]) -> Packet:
    made = {bp.board: sheet_of(s, bp) for bp in s.plan.boards}
    sheets = {board: sheet.pages for board, sheet in made.items()}
    makers: Mapping[str, Callable[[], list[Page]]] = {
        "buying": lambda: take_along_pages(s),
        "pull": lambda: pull_pages(s),
        "wall": lambda: wall_pages(s),
    }
    last: Mapping[str, Callable[[], list[Page]]] = {
        "milling": lambda: milling_pages(s),
        # What the sheets say of it needn't be said again.
        "second": lambda: second_pages(s, [b for b, sheet in made.items() if "sheets" not in sections or not sheet.whole]),
        "buying": lambda: buying_pages(s),
        "figures": lambda: figure_pages(s),
        "charts": lambda: chart_pages(s) if s.plan.boards else [],
        # Labels are to cut out of paper: a narrow screen goes without.
        "labels": lambda: label_pages(s) if s.paper.height else [],
    }
    before = [p for name, make in makers.items() if name in sections for p in make()]
    after = [p for name, make in last.items() if name in sections for p in make()]
    packet = Packet(s, sheets, before, after, "sheets" in sections)
    number_pages(packet.pages, FOOT)
    if not packet.holds_sheets:
        number_pages([p for pages in sheets.values() for p in pages], FOOT)
    return packet


def packet_files(
    job: Job,
    plan: Plan,
    paper: Paper = LETTER,
    date: str = "",
    buying: StudyRecord | None = None,
    sections: Collection[str] = USUAL,
    held: bool = False,
    large: bool = False,
) -> dict[str, str | bytes]:
    """What `chalk` writes, by path below its folder: `sheets/BOARD.svg`, `packet.pdf`, `packet.html`, `wall.svg`; with `large`
    `wall.pdf`, the wall sheet on paper twice as wide and high."""
    with _uncollected():
        packet = draw_packet(job, plan, paper, date, buying, sections, held)
        return _files(packet, sections, large)


@contextmanager
def _uncollected() -> Iterator[None]:
    """Hold off the search for reference cycles: marks and XML elements have none, and hundreds of thousands of them
    made it a tenth of a large packet's time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _files(packet: Packet, sections: Collection[str], large: bool) -> dict[str, str | bytes]:
    s = packet.setting
    strips = _record(replace(s, paper=PHONE, held=False), sections).pages
    title = f"{s.plan.job}, revision {s.plan.revision}"
    stems = file_names(packet.sheets)
    files: dict[str, str | bytes] = {
        f"sheets/{stems[board]}.svg": write_svg(pages, pages[0].title) + "\n" for board, pages in packet.sheets.items()
    }
    wall = wall_pages(s)
    if wall:
        number_pages(wall, FOOT)
        files["wall.svg"] = write_svg(wall, "All boards") + "\n"
    if wall and large:
        poster = wall_pages(s, replace(s.paper, width=2 * s.paper.width, height=2 * (s.paper.height or 0)))
        number_pages(poster, FOOT)
        files["wall.pdf"] = write_pdf(poster, title)
    files["packet.pdf"] = write_pdf(packet.pages, title)
    files["packet.html"] = write_html(title, packet.pages, strips)
    return files
