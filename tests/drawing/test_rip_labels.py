"""Each rip's figure stands at its own line: read from the written SVG, the nearest line is the one that the figure is about."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from made_up import made_up

from yieldopt.demo import inventory
from yieldopt.drawing.backends.svg import write_svg
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.drawing.page.paper import A4, LETTER, PHONE, Paper
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

SVG = "{http://www.w3.org/2000/svg}"
# Of the lettering: from its baseline up to its middle, in points.
HALF = 3.5


def number(e: ElementTree.Element, key: str) -> float:
    return float(e.get(key, ""))


def pairs(page: ElementTree.Element) -> list[tuple[str, str]]:
    """(cut that a figure is about, cut of the line that a reader takes it for) of every rip's figure on one page: the line
    that its pointer runs to, else the nearest line that passes above or below it."""
    lines = [
        (e.get("data-order", ""), number(e, "x"), number(e, "y"), number(e, "width"), number(e, "height"))
        for e in page.iter(f"{SVG}rect")
        if e.get("class") == "kerf" and e.get("data-kind") == "rip"
    ]
    pointers = [tuple(number(e, k) for k in ("x1", "y1", "y2")) for e in page.iter(f"{SVG}line") if e.get("class") == "pointer"]
    found = []
    for e in page.iter(f"{SVG}text"):
        if e.get("class") != "dimension" or e.get("data-kind") != "rip":
            continue
        x, middle = number(e, "x"), number(e, "y") - HALF
        here = [
            (abs(top + tall / 2 - middle), order, top + tall / 2)
            for order, left, top, wide, tall in lines
            if left <= x <= left + wide
        ]
        led = [
            order
            for px, y1, y2 in pointers
            for _, order, at in here
            if x - 30 < px < x and abs(y1 - at) < 0.6 and abs(y2 - middle) < 9
        ]
        crossed = [o for px, y1, y2 in pointers if x - 30 < px < x for _, o, at in here if min(y1, y2) + 1 < at < max(y1, y2) - 1]
        taken_for = led[0] if led and not crossed else min(here)[1]
        found.append((e.get("data-cuts", ""), taken_for))
    return found


def assert_paired(job: Job, plan: Plan, paper: Paper) -> int:
    packet = draw_packet(job, plan, paper, "2026-01-01")
    count = 0
    for bp in plan.boards:
        root = ElementTree.fromstring(write_svg(packet.sheets[bp.board], "sheet"))
        for page in root.findall(f"{SVG}g"):
            for about, taken_for in pairs(page):
                assert about == taken_for, bp.board
                count += 1
    return count


@pytest.mark.parametrize("seed", range(12))
def test_a_reader_takes_each_figure_for_its_own_line(seed: int) -> None:
    job, plan = made_up(seed, boards=3, units="mm" if seed % 3 == 0 else "in")
    assert assert_paired(job, plan, (LETTER, A4, PHONE)[seed % 3]) > 0


@pytest.mark.parametrize("name", ["tool-rack", pytest.param("sideboard", marks=pytest.mark.long)])
def test_on_the_demo_shops_jobs(name: str) -> None:
    job = read_job(inventory() / name)
    plan = plan_job(job, steps=2).plan
    assert assert_paired(job, plan, LETTER) > 5
