"""The whole packet of a job: cover, a sheet a board, milling order, sets, second choice, charts, labels."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from yieldopt.drawing.boardsheet import board_sheet
from yieldopt.drawing.buying import buying_pages
from yieldopt.drawing.charts import chart_pages
from yieldopt.drawing.cover import cover_pages
from yieldopt.drawing.flow import number_pages
from yieldopt.drawing.labels import label_pages
from yieldopt.drawing.milling import milling_pages
from yieldopt.drawing.names import file_names
from yieldopt.drawing.page_html import write_html
from yieldopt.drawing.paper import LETTER, PHONE, Paper
from yieldopt.drawing.pdf import write_pdf
from yieldopt.drawing.primitives import Page
from yieldopt.drawing.secondpages import second_pages
from yieldopt.drawing.sets import set_pages
from yieldopt.drawing.setting import FOOT, Setting, setting_for
from yieldopt.drawing.svg import write_svg
from yieldopt.drawing.takealong import take_along_pages
from yieldopt.lumber import Job
from yieldopt.plan import Plan


@dataclass(frozen=True)
class Packet:
    """Recorded pages of one packet on one paper."""

    setting: Setting
    # By board name, in the plan's order.
    sheets: dict[str, list[Page]]
    before: list[Page]
    after: list[Page]

    @property
    def pages(self) -> list[Page]:
        return [*self.before, *(p for pages in self.sheets.values() for p in pages), *self.after]


def draw_packet(job: Job, plan: Plan, paper: Paper = LETTER, date: str = "", buying: Mapping[str, Any] | None = None) -> Packet:
    """Record every page. The plan is taken to have passed its check; `date` is printed as it is, `buying` is what
    `source.json` holds."""
    return _record(replace(setting_for(job, plan, paper, date), buying=buying))


def _record(s: Setting) -> Packet:
    # Labels are to cut out of paper: a narrow screen goes without.
    plan = s.plan
    sheets = {bp.board: board_sheet(s, bp) for bp in plan.boards}
    after = [
        *milling_pages(s),
        *set_pages(s),
        *second_pages(s),
        *buying_pages(s),
        *(chart_pages(s) if plan.boards else []),
        *(label_pages(s) if s.paper.height else []),
    ]
    packet = Packet(s, sheets, [*take_along_pages(s), *cover_pages(s)], after)
    number_pages(packet.pages, s.paper, FOOT)
    return packet


def packet_files(
    job: Job, plan: Plan, paper: Paper = LETTER, date: str = "", buying: Mapping[str, Any] | None = None
) -> dict[str, str | bytes]:
    """What `chalk` writes, by path below its folder: `sheets/BOARD.svg`, `packet.pdf`, `packet.html`."""
    with _uncollected():
        return _files(job, plan, paper, date, buying)


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


def _files(job: Job, plan: Plan, paper: Paper, date: str, buying: Mapping[str, Any] | None) -> dict[str, str | bytes]:
    packet = draw_packet(job, plan, paper, date, buying)
    strips = _record(replace(packet.setting, paper=PHONE)).pages
    title = f"{plan.job}, revision {plan.revision}"
    stems = file_names(packet.sheets)
    files: dict[str, str | bytes] = {
        f"sheets/{stems[board]}.svg": write_svg(pages, pages[0].title) + "\n" for board, pages in packet.sheets.items()
    }
    files["packet.pdf"] = write_pdf(packet.pages, title)
    files["packet.html"] = write_html(title, packet.pages, strips, paper)
    return files
