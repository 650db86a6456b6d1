"""Choosing by eye, defects by hand, photos, surprises, and a job begun without a folder: in a real browser, by mouse, keyboard
and touch. Invented data."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("selenium")

from browsing import BROWSER
from selenium.webdriver.common.keys import Keys
from window import Served, Window

from yieldopt.checking import check
from yieldopt.reading import read_job
from yieldopt.reading.plans import read_plan

pytestmark = BROWSER


@pytest.fixture(scope="module")
def folder(planned_rack: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copytree(planned_rack, tmp_path_factory.mktemp("desk") / "rack"))


@pytest.fixture(scope="module")
def window(folder: Path) -> Iterator[Window]:
    served = Served(folder, folder.parent / "state")
    window = Window(served.url)
    yield window
    window.driver.quit()
    assert served.stop()[0] == 0


def go(window: Window, room: str) -> None:
    window.wait(lambda: "no mistakes" in window.text(), "the job")
    window.js("location.hash = '#/jobs'")
    window.js("location.hash = arguments[0]", f"#/{room}")


def test_a_wish_is_planned_round_taken_back_in_one_step_and_taken(window: Window, folder: Path) -> None:
    """By keyboard alone."""
    before = (folder / "plan" / "plan.json").read_bytes()
    plan, _ = read_plan(folder / "plan" / "plan.json")
    board = plan.boards[0].board
    go(window, "plan")
    for take in (False, True):
        window.tab_to(f"Leave {board} alone")
        window.press(Keys.ENTER)
        window.says(f"{board} is to be left alone.")
        window.tab_to("Plan round it")
        window.press(Keys.ENTER)
        window.says(f"{board} is not cut any more")
        window.says("of the pieces lie elsewhere")
        assert (folder / "plan" / "plan.json").read_bytes() == before
        assert read_job(folder).leave == frozenset()
        if not take:
            window.picture("planned-round")
            assert not window.barriers("planned round")
            window.tab_to("Leave it as it was")
            window.press(Keys.ENTER)
            window.says("Taken back")
            window.says("all saved")
    window.tab_to("Take it")
    window.press(Keys.ENTER)
    window.wait(lambda: "Take it" not in window.text() and "all saved" in window.text(), "the plan that was taken")
    assert read_job(folder).leave == {board}
    new, _ = read_plan(folder / "plan" / "plan.json")
    assert board not in {b.board for b in new.boards}
    assert not check(read_job(folder / "plan" / "job"), new)
    go(window, "compare")
    window.says(f"{board} is not cut any more")
    window.picture("compare")
    assert not window.barriers("compare")


def test_a_piece_is_carried_by_a_finger_and_two_change_places(window: Window, folder: Path) -> None:
    plan, _ = read_plan(folder / "plan" / "plan.json")
    go(window, "plan")
    part = next(p.part for _, p in plan.pieces() if p.part == "side")
    window.click(f"2 x {part}")
    window.click("Carry its whole blank")
    window.says("may lie here")
    boards = [b.board for b in plan.boards if b.board.startswith("E")]
    window.cdp("Emulation.setTouchEmulationEnabled", enabled=True)
    x, y = window.on_board(boards[-1], 0.5, 0.5)
    window.touch("touchStart", x - 40, y)
    window.touch("touchMove", x, y)
    window.wait(lambda: f"on {boards[-1]}" in window.text() or "too" in window.text() or "another" in window.text(), "over it")
    window.press(Keys.ESCAPE)
    window.touch("touchEnd")
    window.cdp("Emulation.setTouchEmulationEnabled", enabled=False)
    window.wait(lambda: "Exchange it for" in window.text(), "let go")
    # Two of one part may always change places.
    window.click("Exchange it for…")
    window.says("Choose the piece that")
    window.click("2 x back rail")
    window.wait(lambda: "change places." in window.text() or "can't lie where" in window.text(), "the answer")


def test_a_defect_is_drawn_moved_and_named_on_the_board(window: Window, folder: Path) -> None:
    known = {b.name: len(b.defects) for b in read_job(folder).boards}
    go(window, "boards")
    window.click("Draw a defect")
    start, end = window.on_board("E1", 0.42, 0.3), window.on_board("E1", 0.46, 0.6)
    window.drag(start, end)
    window.says("Defect on E1")
    window.wait(
        lambda: window.js("return document.querySelectorAll('[data-board=E1] .flaw').length") > known["E1"], "it is drawn"
    )
    window.picture("defect-drawn")
    assert not window.barriers("a defect")
    x, y = window.on_board("E1", 0.44, 0.45)
    was = window.js("return document.querySelector('.flaw-panel input').value")
    window.drag((x, y), (x + 60, y))
    window.wait(lambda: window.js("return document.querySelector('.flaw-panel input').value") != was, "it moves")
    window.click("Done")
    window.with_control("s")
    window.says("all saved")
    board = read_job(folder).board_named["E1"]
    assert len(board.defects) == known["E1"] + 1
    assert board.defects[-1].kind == "knot"
    window.with_control("z")
    window.with_control("z")
    window.with_control("s")
    window.says("all saved")
    assert len(read_job(folder).board_named["E1"].defects) == known["E1"]


def test_what_is_cut_is_drawn_over_the_photo_of_the_board(window: Window, folder: Path, tmp_path: Path) -> None:
    """A photo of 40 million pixels, fitted by keyboard."""
    from PIL import Image

    Image.linear_gradient("L").resize((8000, 5000)).convert("RGB").save(tmp_path / "my board.jpg", quality=50)
    plan, _ = read_plan(folder / "plan" / "plan.json")
    board = plan.boards[0].board
    go(window, f"photo/{board}")
    window.says("There is no photo of this face yet")
    window.js("return document.querySelector('input[type=file]')").send_keys(str(tmp_path / "my board.jpg"))
    window.says("Put the four corners on the board's own")
    window.wait(lambda: window.js("return document.querySelectorAll('.corner').length") == 4, "four corners")
    assert not window.barriers("corners")
    window.js("document.querySelector('.corner').focus()")
    window.press(*[Keys.ARROW_DOWN] * 5)
    window.click("The corners are right")
    window.with_control("s")
    window.says("all saved")
    window.wait(lambda: window.js("return !!document.querySelector('svg.photographed image')"), "the photo")
    window.wait(
        lambda: window.driver.execute_async_script(
            "fetch(document.querySelector('svg.photographed image').href.baseVal).then(r => arguments[0](r.status))"
        ) == 200,
        "a straight picture",
    )  # fmt: skip
    window.picture("over-photo")
    cell = read_job(folder).board_named[board].notes["photo_a"]
    assert cell.split()[0] == "my-board.jpg"
    assert cell.split()[2] == "0.805"
    assert (folder / "photos" / "my-board.jpg").exists()


def test_a_surprise_is_looked_at_before_it_is_taken(window: Window, folder: Path) -> None:
    plan, text = read_plan(folder / "plan" / "plan.json")
    entry = plan.boards[0]
    go(window, "surprises")
    window.says("Nothing told yet")
    window.click(f"Pieces of {entry.board}")
    choose = (
        "const s = [...document.querySelectorAll('.piece-states[open] select')][0]; s.value = 'spoiled';"
        "s.dispatchEvent(new Event('change')); return s.parentElement.innerText"
    )
    piece = str(window.js(choose)).splitlines()[0]
    window.says("1 told")
    window.click("Plan again from here")
    window.says(f"to make again: {piece}")
    assert (folder / "plan" / "plan.json").read_text() == text
    window.picture("surprise")
    window.click("Take it")
    window.wait(lambda: (folder / "plan" / "plan.json").read_text() != text, "the next revision")
    window.says("Nothing told yet")
    # From nothing only where that is meant.
    go(window, "plan")
    window.click("Plan again")
    window.says("boards of this plan are cut already")
    window.click("Leave it")


def test_a_job_begun_without_a_folder_is_known_the_next_time(tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    served = Served(None, tmp_path / "state", tmp_path / "jobs")
    window = Window(served.url)
    try:
        window.says("None is known yet")
        assert not window.barriers("which job")
        window.tab_to("new-name")
        window.press("shelf", Keys.ENTER)
        window.says("What is to be made")
        assert read_parts_header(tmp_path / "jobs" / "shelf").startswith("part,qty")
        window.js("location.hash = '#/jobs'")
        window.says(str(tmp_path / "jobs" / "shelf"))
    finally:
        window.driver.quit()
        served.stop()


def read_parts_header(folder: Path) -> str:
    return (folder / "parts.csv").read_text().splitlines()[0]
