"""What hands do with the page: correct by dragging, exact figures, left hand, light, keyboard, stylus, a file handed over."""

from __future__ import annotations

import json
import time
import uuid
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import httpx
import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone, Served, barriers, empty_stick, log
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from yieldopt.rack.door.facade import Rack

pytestmark = BROWSER
FLAW = "//*[@data-flaw='0']"
GRIP = "//*[@data-grip='0']"
NINETY_SIX = {"board": "W1", "species": "walnut", "quarters": "4/4", "length": "96", "width": "8"}


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    page = Served(tmp_path / "shop.rack", "--port", "0")
    yield page
    assert page.stop() == 0


@pytest.fixture
def phone(tmp_path: Path, served: Served) -> Iterator[Phone]:
    phone = Phone(tmp_path / "one")
    phone.driver.get(served.url)
    phone.says("Measure a board")
    yield phone
    phone.driver.quit()


def put(served: Served, id: str, base: str | None = None, defects: tuple[dict[str, str], ...] = (), **cells: str) -> str:
    """Somebody else's change, by another way than this phone; the new version."""
    body = {"key": str(uuid.uuid4()), "base": base, "cells": NINETY_SIX | cells, "defects": defects}
    answer = httpx.put(f"{served.url}api/boards/{id}", json=body, headers={"x-yieldopt": "1"})
    assert answer.status_code == 200, answer.text
    return str(answer.json()["version"])


def marks(phone: Phone, name: str, count: int) -> None:
    phone.go("Rack")
    phone.tap(f"Correct {name}")
    phone.tap(f"Marks ({count})")


def reading(phone: Phone) -> dict[str, str]:
    """What the four figures of the mark under the drawing say."""
    script = (
        "return Object.fromEntries(['x', 'y', 'length', 'width'].map(k =>"
        "[k, document.querySelector(`[data-field='flaw.${k}']`).firstChild.textContent]))"
    )
    return dict(phone.js(script))


def in_inches(phone: Phone) -> tuple[float, float]:
    """Pixels of the screen to an inch along and across the board in the drawing."""
    box = phone.js(
        "const r = document.querySelector('.board .wood').getBoundingClientRect(); return [r.height / 96, r.width / 8]"
    )
    return box[0], box[1]


def test_a_mark_is_corrected_by_dragging_keys_keypad_and_stylus(tmp_path: Path, served: Served, phone: Phone) -> None:
    i = str(uuid.uuid4())
    put(served, i, defects=({"kind": "knot", "face": "A", "x": "24", "y": "2", "length": "6", "width": "2"},))
    phone.js("dispatchEvent(new Event('online'))")
    phone.go("Rack")
    phone.says("W1")
    marks(phone, "W1", 1)
    phone.touch(phone.spot(FLAW))
    assert reading(phone) == {"x": "24", "y": "2", "length": "6", "width": "2"}
    down, across = in_inches(phone)
    x, y = phone.spot(FLAW)
    phone.touch((x, y), (x + across, y + 6 * down), (x + 2 * across, y + 12 * down))
    moved = reading(phone)
    assert (moved["length"], moved["width"]) == ("6", "2"), "dragged, not sized"
    assert float(Fraction(sum(map(Fraction, moved["x"].split())))) == pytest.approx(36, abs=0.5)
    assert float(Fraction(sum(map(Fraction, moved["y"].split())))) == pytest.approx(4, abs=0.5)
    x, y = phone.spot(GRIP)
    phone.touch((x, y), (x + across / 2, y + 2 * down), (x + across, y + 4 * down))
    sized = reading(phone)
    assert (sized["x"], sized["y"]) == (moved["x"], moved["y"]), "sized, not moved"
    assert float(Fraction(sum(map(Fraction, sized["length"].split())))) == pytest.approx(10, abs=0.5)
    # A finger is coarse; the keypad is exact.
    phone.field("flaw.x")
    phone.tap("clear", "//div[contains(@class,'pad')]")
    phone.length("31 5/16")
    assert reading(phone)["x"] == "31 5/16"
    # Keyboard: the mark has the focus, arrows move it, shift and arrows size it, a quarter inch each.
    phone.driver.find_element(By.CSS_SELECTOR, "[data-flaw='0']").send_keys(Keys.ARROW_DOWN)
    assert reading(phone)["x"] == "31 9/16"
    phone.driver.find_element(By.CSS_SELECTOR, "[data-flaw='0']").send_keys(Keys.SHIFT + Keys.ARROW_RIGHT)
    width = reading(phone)["width"]
    # A stylus draws a second mark.
    x, y = phone.spot("//*[name()='polygon' and contains(@class,'wood')]")
    y += 30 * down
    for kind, at in (
        ("mousePressed", (x, y)),
        ("mouseMoved", (x, y + 3 * down)),
        ("mouseMoved", (x + across, y + 6 * down)),
        ("mouseReleased", (x + across, y + 6 * down)),
    ):
        phone.cdp(
            "Input.dispatchMouseEvent",
            type=kind,
            x=at[0],
            y=at[1],
            button="left",
            buttons=1,
            clickCount=1,
            pointerType="pen",
            force=0.5,
        )
    phone.wait(lambda: phone.js("return document.querySelectorAll('[data-flaw]').length") == 2, "a mark by stylus")
    assert float(Fraction(sum(map(Fraction, reading(phone)["length"].split())))) == pytest.approx(6, abs=0.5)
    # On face B a mark of face A is only dashed; another kind by one tap.
    phone.tap("loose knot")
    phone.tap("B")
    assert phone.js("return document.querySelectorAll('.flaw.other').length") == 2
    phone.chalk()
    phone.says("Everything is in the rack")
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        first, second = rack.board("W1").board.defects
    assert (first.kind, first.face, first.x, str(first.width)) == (
        "knot",
        "A",
        Fraction(505, 16),
        str(sum(map(Fraction, width.split()))),
    )
    assert (second.kind, second.face) == ("loose knot", "A")


def test_a_whole_board_by_keyboard_alone(tmp_path: Path, served: Served, phone: Phone) -> None:
    phone.species("walnut")

    def press(words: str) -> None:
        """Tab to the key of these words, then Enter: as somebody does who can't touch the screen."""
        for _ in range(80):
            phone.driver.switch_to.active_element.send_keys(Keys.TAB)
            e = phone.driver.switch_to.active_element
            if (e.get_attribute("aria-label") or e.text or "").strip() == words:
                e.send_keys(Keys.ENTER)
                return
        raise AssertionError(f"{words!r} can't be reached by Tab")

    for words in ("7", "2", "Next", "6", "1/2", "Save board"):
        press(words)
    phone.arrived(1)
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert [(r.board.length, r.board.width) for r in rack.boards()] == [(72, Fraction(13, 2))]


def test_left_hand_light_and_dark_and_no_barriers_in_any(served: Served, phone: Phone) -> None:
    put(served, str(uuid.uuid4()), defects=({"kind": "knot", "face": "A", "x": "24", "y": "2", "length": "6", "width": "2"},))
    phone.js("dispatchEvent(new Event('online'))")
    found: list[str] = []
    place = "return document.querySelector('nav a').getBoundingClientRect().left"
    ground = "return getComputedStyle(document.body).backgroundColor"
    right, light = phone.js(place), phone.js(ground)
    for hand, tone in (("Right hand", "Light"), ("Left hand", "Dark")):
        phone.go("Phone")
        phone.choose(hand)
        phone.choose(tone)
        phone.says("Hand and light")
        found += barriers(phone, f"{tone}, this phone")
        for room, words in (
            ("Measure", "Measure a board"),
            ("Rack", "W1"),
            ("Count", "board feet"),
            ("Bench", "No plan is served"),
        ):
            phone.go(room)
            phone.says(words)
            found += barriers(phone, f"{tone}, {room}")
        marks(phone, "W1", 1)
        phone.touch(phone.spot(FLAW))
        phone.says("Rub out")
        found += barriers(phone, f"{tone}, marks")
        phone.tap("Sizes")
        phone.says("Width at several points")
        found += barriers(phone, f"{tone}, sizes")
    assert phone.js(place) > right + 200, "the rooms run from the other side"
    dark = phone.js(ground)
    assert dark != light
    phone.driver.refresh()
    phone.says("W1")
    assert (phone.js(ground), phone.js("return document.documentElement.dataset.hand")) == (dark, "left"), "remembered"
    small = phone.js(
        "return [...document.querySelectorAll('button, a.key, nav a')].map(e => [e.innerText, e.getBoundingClientRect()])"
        ".filter(([, r]) => r.width && (r.width < 24 || r.height < 24)).map(([t]) => t)"
    )
    assert small == [], "WCAG 2.2, 2.5.8: targets of at least 24 by 24 CSS pixels"
    assert found == []


@pytest.mark.parametrize("taken", ["mine", "theirs"])
def test_a_conflict_shows_both_versions_and_asks(tmp_path: Path, served: Served, phone: Phone, taken: str) -> None:
    i = str(uuid.uuid4())
    version = put(served, i)
    phone.js("dispatchEvent(new Event('online'))")
    phone.go("Rack")
    phone.says("W1")
    phone.signal(False)
    phone.tap("Correct W1")
    phone.field("width")
    phone.tap("clear", "//div[contains(@class,'pad')]")
    phone.length("7 3/4")
    phone.chalk()
    phone.says("correction only on this phone")
    put(served, i, version, width="6 1/2")
    phone.signal(True)
    phone.js("dispatchEvent(new Event('online'))")
    phone.says("W1 was changed elsewhere too.")
    rows = phone.js("return [...document.querySelectorAll('table tr')].map(r => r.innerText.split(/\\t/).map(t => t.trim()))")
    assert ["width", "7 3/4", "6 1/2"] in rows
    assert barriers(phone, "question") == []
    phone.tap("Take this phone's" if taken == "mine" else "Take the rack's")
    phone.says("Everything is in the rack")
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert rack.board("W1").board.width == (Fraction(31, 4) if taken == "mine" else Fraction(13, 2))
        assert len(rack.boards()) == 1


@pytest.mark.parametrize("now", ["1999-01-01", "2099-12-31"])
def test_a_wrong_clock_does_no_harm(tmp_path: Path, served: Served, phone: Phone, now: str) -> None:
    off = int(time.mktime(time.strptime(now, "%Y-%m-%d")) * 1000 - time.time() * 1000)
    wrong = (
        "const D = Date; Date = class extends D { constructor(...a) { a.length ? super(...a) : super(D.now() + OFF); }"
        " static now() { return D.now() + OFF; } }"
    ).replace("OFF", str(off))
    phone.cdp("Page.addScriptToEvaluateOnNewDocument", source=wrong)
    phone.driver.refresh()
    phone.says("Measure a board")
    assert phone.js("return new Date().getFullYear()") in (int(now[:4]), int(now[:4]) - 1)
    phone.species("walnut")
    log(phone, "72", "6 1/2")
    phone.arrived(1)
    phone.signal(False)
    phone.go("Rack")
    phone.tap("Correct B1")
    phone.field("width")
    phone.tap("clear", "//div[contains(@class,'pad')]")
    phone.length("5")
    phone.chalk()
    phone.says("correction only on this phone")
    phone.signal(True)
    phone.js("dispatchEvent(new Event('online'))")
    phone.says("Everything is in the rack")
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert [(r.name, r.board.width) for r in rack.boards()] == [("B1", 5)]
        moments = [c.at for c in rack.history()]
        assert all(str(m)[:4] == time.strftime("%Y") for m in moments), "the rack's own clock dates the changes"


def test_boards_handed_over_as_a_file_and_sent_as_well_are_there_once(tmp_path: Path, served: Served, phone: Phone) -> None:
    from PIL import Image

    Image.new("RGB", (300, 800), (200, 160, 110)).save(tmp_path / "face.jpg")
    phone.cdp("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(tmp_path / "out"))
    phone.signal(False)
    phone.species("walnut")
    log(phone, "72", "6 1/2")
    phone.length("84")
    phone.tap("Next")
    phone.length("5")
    phone.tap("Marks (0)")
    phone.driver.find_element(By.ID, "photo").send_keys(str(tmp_path / "face.jpg"))
    phone.says("Touch corner 1 of 4")
    phone.tap("All four at the picture's corners")
    phone.tap("Use these corners")
    phone.says("Photo of face A")
    phone.tap("Save board")
    phone.says("2 boards only on this phone")
    phone.go("Phone")
    phone.tap("Hand over what is only here")
    file = tmp_path / "out" / "boards-from-phone.json"
    phone.wait(file.exists, "a file")
    assert json.loads(file.read_text())["format"] == "yieldopt-handover/1"
    (tmp_path / "soup.json").write_text("{}")
    two = Phone(tmp_path / "two")
    try:
        two.driver.get(f"{served.url}#/phone")
        two.says("Boards as a file")
        two.driver.find_element(By.ID, "take-in").send_keys(str(tmp_path / "soup.json"))
        two.says("this is not a file of boards from a phone")
        for _ in range(2):
            two.driver.find_element(By.ID, "take-in").send_keys(str(file))
            two.says("Taken in.")
            two.says("Everything is in the rack")
    finally:
        two.driver.quit()
    phone.signal(True)
    phone.js("dispatchEvent(new Event('online'))")
    phone.says("Everything is in the rack")
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert sorted((r.name, r.board.length, len(r.photos)) for r in rack.boards()) == [("B1", 72, 0), ("B2", 84, 1)]
        assert len(rack.history()) == 3
        assert rack.check() == []


def test_thickness_warp_and_widths_at_several_points_arrive_as_typed(tmp_path: Path, served: Served, phone: Phone) -> None:
    phone.species("walnut")
    phone.length("96")
    phone.tap("More")
    for field, text in {"thickness": "1 1/16", "bow": "1/4", "cup": "1/8", "crook": "3/8", "twist": "1/16"}.items():
        phone.field(field)
        phone.length(f" {text}" if "/" in text.split()[0] else text)
    phone.field("at")
    for at, wide in (("12", "7 1/2"), ("48", "8"), ("90", "6 7/8")):
        phone.length(at)
        phone.tap("Width there")
        phone.length(wide)
        phone.tap("Next")
    phone.says("6 7/8 wide at 90")
    phone.tap("tested")
    phone.tap("Save board")
    empty_stick(phone)
    phone.says("Everything is in the rack")
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        (b,) = (r.board for r in rack.boards())
    assert (b.thickness, b.bow, b.cup, b.crook, b.twist) == tuple(map(Fraction, ("17/16", "1/4", "1/8", "3/8", "1/16")))
    assert [(e.x, e.far - e.near) for e in b.edges] == [(12, Fraction(15, 2)), (48, 8), (90, Fraction(55, 8))]
    assert b.stress == "tested"


def test_markup_that_somebody_typed_stays_text_on_every_screen(served: Served, phone: Phone) -> None:
    i, evil = str(uuid.uuid4()), "<img src=x onerror='window.hit=1'>"
    flaw = {"kind": "knot", "face": "A", "x": "24", "y": "2", "length": "6", "width": "2"}
    version = put(served, i, board=evil, species=evil, dealer=evil, remarks=evil, photo_a=evil, defects=(flaw,))
    phone.js("dispatchEvent(new Event('online'))")
    phone.go("Rack")
    phone.says(evil)
    phone.go("Count")
    phone.says(evil)
    phone.go("Rack")
    phone.signal(False)
    phone.touch(phone.spot("//main//a[contains(@aria-label,'Correct')]"))
    phone.says("Correct <img")
    phone.field("width")
    phone.tap("clear", "//div[contains(@class,'pad')]")
    phone.length("7")
    phone.chalk()
    put(served, i, version, board=evil, species=evil, dealer=f"{evil}2", remarks=evil, width="6", defects=(flaw,))
    phone.signal(True)
    phone.js("dispatchEvent(new Event('online'))")
    phone.says("was changed elsewhere too.")
    # The dealer differs on one side only and is merged; the width is asked about.
    phone.says("Keep what is marked")
    assert phone.js("return [window.hit ?? 0, document.querySelectorAll('main img').length]") == [0, 0]


def test_several_boards_at_one_price_come_to_what_the_rack_says(tmp_path: Path, served: Served, phone: Phone) -> None:
    phone.species("walnut")
    phone.tap("More")
    phone.type("in-price_bf", "12.5")
    phone.tap("Less")
    log(phone, "96", "6")
    log(phone, "72", "8")
    phone.says("Everything is in the rack")
    phone.go("Count")
    phone.says("8.00 board feet")
    phone.says("100.00 to pay")
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert [float(r.board.price) for r in rack.boards()] == [50, 50]


def test_the_price_of_the_last_board_is_offered_for_the_same_wood_only(served: Served, phone: Phone) -> None:
    def offered() -> str:
        return str(phone.js("return document.getElementById('in-price_bf').value"))

    phone.species("walnut")
    phone.tap("More")
    phone.type("in-price_bf", "12.5")
    phone.tap("Less")
    log(phone, "96", "6")
    phone.tap("More")
    assert offered() == "12.5"
    phone.species("white oak")
    assert offered() == ""
    phone.species("walnut")
    assert offered() == "12.5"
    pick = "const q = document.getElementById('in-quarters'); q.value = arguments[0]; q.dispatchEvent(new Event('change'))"
    phone.js(pick, "8/4")
    assert offered() == ""
    # What is typed by hand stays.
    phone.type("in-price_bf", "14")
    phone.js(pick, "4/4")
    assert offered() == "14"
