"""From an empty folder to a printed packet in a real browser, by keyboard alone; and every room at every size, light and dark.

Invented data.
"""

from __future__ import annotations

import csv
import json
import shutil
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("selenium")

from browsing import BROWSER
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys
from window import Served, Window

from yieldopt.cli import main
from yieldopt.reading import read_job

pytestmark = BROWSER

PARTS = [
    ("side", "2", "oak", "3/4", "5", "24"),
    ("shelf", "3", "oak", "3/4", "5", "30"),
    ("rail", "2", "oak", "3/4", "2 1/2", "30"),
]
BOARDS = [("A1", "oak", "4/4", "8'"), ("A2", "oak", "4/4", "100")]


@pytest.fixture
def new_job(tmp_path: Path) -> Path:
    assert main(["new", str(tmp_path / "shelf")]) == 0
    return tmp_path / "shelf"


def typed(window: Window, rows: list[tuple[str, ...]]) -> None:
    for row in rows:
        for text in row:
            window.press(text, Keys.TAB)


def test_a_job_by_keyboard_alone(new_job: Path, tmp_path: Path) -> None:
    served = Served(new_job, tmp_path / "state")
    window = Window(served.url)
    try:
        window.says("Take back")
        window.wait(lambda: "key=" not in window.js("return location.href"), "a key that is gone from the address")
        columns = window.js("return [...document.querySelectorAll('thead th')].map(h => h.innerText)")[1:7]
        assert columns == ["part", "qty", "species", "thickness", "width", "length"]
        window.wait(lambda: window.js("return !!document.querySelector('td[tabindex=\"0\"]')"), "the grid")
        window.js("document.querySelector('td[tabindex=\"0\"]').focus()")
        rest = window.js("return document.querySelectorAll('thead th').length") - 7
        typed(window, [(*row, *[""] * rest) for row in PARTS])
        window.wait(lambda: window.cell(2, "length") == "30", "three rows")
        # A letter for a figure is told in the cell, taken back, done again, and mended.
        window.press(Keys.ARROW_UP, Keys.HOME, Keys.ARROW_RIGHT, "x", Keys.ENTER)
        window.wait(lambda: window.js("return document.querySelectorAll('td.wrong').length") == 1, "a mistake at its cell")
        window.says("1 mistake")
        window.with_control("z")
        window.says("no mistakes")
        window.with_control("z", shift=True)
        window.says("found 'x'")
        window.with_control("z")
        assert "side" not in (new_job / "parts.csv").read_text()
        window.with_control("s")
        window.says("all saved")
        assert part_names(new_job) == ["side", "shelf", "rail"]
        window.driver.execute_script("location.hash = '#/table/boards'")
        window.says("each board as measured")
        window.js("document.querySelector('td[tabindex=\"0\"]').focus()")
        names = window.js("return [...document.querySelectorAll('thead th')].map(h => h.innerText)")[1:]
        board = {"width": "9", "price_bf": "8"}
        rows = [dict(zip(("board", "species", "quarters", "length"), b, strict=True)) | board for b in BOARDS]
        typed(window, [tuple(row.get(n, "") for n in names) for row in rows])
        window.says("no mistakes")
        window.tab_to("Plan")
        window.press(Keys.ENTER)
        window.tab_to("seconds")
        window.press(Keys.DELETE, "5")
        window.tab_to("Plan")
        window.press(Keys.ENTER)
        window.says("Yield")
        window.says("2 x side")
        window.tab_to("2 x side")
        window.press(Keys.ENTER)
        window.says("Keep it where it lies")
        window.tab_to("Keep it where it lies")
        window.press(Keys.ENTER)
        window.says("Let it move again")
        window.with_control("s")
        window.says("all saved")
        assert len(read_job(new_job).pins) == 1
        assert not window.barriers("plan")
        window.tab_to("Print")
        window.press(Keys.ENTER)
        window.says("Show the packet")
        link = window.js("return document.querySelector('a.key.main').href")
        cookie = window.driver.get_cookies()[0]
        asked = urllib.request.Request(link, headers={"cookie": f"{cookie['name']}={cookie['value']}"})
        with urllib.request.urlopen(asked, timeout=120) as answer:
            assert answer.read(4) == b"%PDF"
    finally:
        window.driver.quit()
        status, rest = served.stop()
    assert (status, rest.strip().splitlines()[-1]) == (0, "stopped")
    plan = json.loads((new_job / "plan" / "plan.json").read_text())
    assert not plan["unplaced"]


def part_names(folder: Path) -> list[str]:
    with (folder / "parts.csv").open() as f:
        return [row["part"] for row in csv.DictReader(f)]


SIZES = [(1400, 900), (1024, 768), (820, 1180)]
# A window of 1400 x 900 at 200 %.
ZOOMED = (700, 450)


@pytest.fixture(scope="module")
def planned(planned_rack: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Window]:
    at = tmp_path_factory.mktemp("desk")
    served = Served(Path(shutil.copytree(planned_rack, at / "rack")), at / "state")
    window = Window(served.url)
    yield window
    window.driver.quit()
    assert served.stop()[0] == 0


ROOMS = {
    "table/parts": "match_kind",
    "table/defects": "defect",
    "boards": "boards",
    "plan": "Net cost",
    "sets": "a book, opened",
    "compare": "one plan at most",
    "surprises": "Nothing told yet",
    "buy": "What is to be bought?",
    "print": "What to print",
    "jobs": "Which job?",
    "photo/E5": "hanging cleat#1",
}


@pytest.mark.parametrize("room", ROOMS)
def test_no_room_has_barriers_or_runs_off_the_page(planned: Window, room: str) -> None:
    planned.js("location.hash = arguments[0]", f"#/{room}")
    planned.says(ROOMS[room])
    found = []
    for size in SIZES:
        for dark in (False, True):
            planned.sized(size)
            planned.light(dark)
            found += planned.barriers(f"{room} at {size}, {'dark' if dark else 'light'}")
            planned.picture(f"{room.replace('/', '-')}-{size[0]}-{'dark' if dark else 'light'}")
            assert not planned.sideways(), (room, size)
    planned.sized(ZOOMED)
    planned.picture(f"{room.replace('/', '-')}-zoomed")
    assert not planned.sideways(), (room, ZOOMED)
    assert found == []


def test_a_piece_is_carried_by_keys_and_by_hand(planned: Window) -> None:
    planned.sized(SIZES[0])
    planned.light(False)
    planned.js("location.hash = '#/boards'")
    planned.js("location.hash = '#/plan'")
    planned.says("2 x back rail")
    for _ in range(3):
        planned.press(Keys.ESCAPE)
    planned.tab_to("2 x back rail")
    planned.press(Keys.ENTER)
    planned.says("Carry it elsewhere")
    planned.tab_to("Carry it elsewhere")
    planned.press(Keys.ENTER)
    planned.says("may lie here")
    # Off the end of the board by great steps, where it can't be put down.
    for _ in range(8):
        ActionChains(planned.driver).key_down(Keys.SHIFT).send_keys(Keys.ARROW_LEFT).key_up(Keys.SHIFT).perform()
    planned.says("beyond the sound length of the board")
    planned.press(Keys.ENTER)
    planned.says("not here")
    # By hand onto a board of ash that is long enough.
    spot = (
        "const s = document.querySelector('[data-board=E5]'); s.scrollIntoView({block: 'center'});"
        "const r = s.getBoundingClientRect(); return [r.left + r.width * 0.45, r.top + r.height * 0.5]"
    )
    x, y = planned.js(spot)
    mouse = ActionChains(planned.driver)
    mouse.w3c_actions.pointer_action.move_to_location(round(x) + 1, round(y))
    mouse.w3c_actions.pointer_action.move_to_location(round(x), round(y))
    mouse.perform()
    planned.wait(lambda: "on E5" in planned.text() or "too near" in planned.text(), "over the other board")
    planned.picture("carried")
    for _ in range(40):
        if "may lie here, on E5" in planned.text():
            break
        planned.press(Keys.ARROW_RIGHT)
    planned.press(Keys.ENTER)
    planned.says("is asked for on E5")
    planned.says("not saved: Wishes")
    planned.with_control("s")
    planned.says("all saved")
