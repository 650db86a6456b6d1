"""Measuring on a small screen: keys in sight, slips asked about, and nothing typed lost before it is chalked."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone, Served, empty_stick
from selenium.webdriver.common.by import By

from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.door.facade import Rack, new_id
from yieldopt.wood.lumber import Board

pytestmark = BROWSER
SMALL = (360, 640)
PAD = "//div[contains(@class,'pad')]"


class Shop:
    """A rack, its page and one small phone; `phone` is another after a flat battery."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with Rack.open(folder / "shop.rack", create=True) as rack:
            for name, species in (("W1", "walnut"), ("O1", "white oak")):
                rack.log(RackBoard(new_id(), Board(name, species, "4/4", Fraction(1), Fraction(96), Fraction(7), Fraction(1))))
        self.served = Served(folder / "shop.rack", "--port", "0")
        self.phone = Phone(folder / "one", size=SMALL)
        self.phone.driver.get(self.served.url)

    def flat_battery(self) -> None:
        self.phone.kill()
        self.phone = Phone(self.folder / "one", size=SMALL)
        self.phone.driver.get(self.served.url)

    def board(self, name: str) -> Board:
        with Rack.open(self.folder / "shop.rack", read_only=True) as rack:
            return next(r.board for r in rack.boards() if r.name == name)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    shop = Shop(tmp_path_factory.mktemp("drafts"))
    shop.phone.says("Everything is in the rack")
    yield shop
    shop.phone.driver.quit()
    assert shop.served.stop() == 0


@pytest.fixture
def phone(shop: Shop) -> Phone:
    shop.phone.go("Rack")
    shop.phone.says("W1")
    shop.phone.go("Measure")
    empty_stick(shop.phone)
    return shop.phone


def name_of(phone: Phone) -> str:
    return str(phone.js("return document.getElementById('in-board').value"))


def figure(phone: Phone, field: str) -> str:
    return str(phone.js("return document.querySelector(`[data-field='${arguments[0]}']`).firstChild.textContent", field))


def test_next_and_save_are_in_sight_for_every_board(phone: Phone) -> None:
    species = phone.wait(
        lambda: phone.js("return [...document.querySelectorAll('#of-species option')].map(o => o.value)"), "species"
    )
    assert {"walnut", "white oak"} <= set(species), "offered from the rack"
    phone.species("walnut")
    keys = ("Next", "Save board")
    assert all(map(phone.in_sight, keys)), "sizes"
    phone.length("96 5/8")
    phone.tap("More")
    for end in (0, 99_999):
        phone.js("scrollTo(0, arguments[0])", end)
        assert all(map(phone.in_sight, keys)), f"more sizes, scrolled to {end}"
        top = phone.js("return document.getElementById('standing').getBoundingClientRect().top")
        assert 0 <= top < 40, "the line that says where the boards are stays"
    phone.tap("Less")
    phone.field("width")
    phone.length("7")
    phone.tap("Marks (0)")
    phone.touch(phone.spot("//*[name()='svg' and contains(@class,'board')]"))
    phone.field("flaw.x")
    for end in (0, 99_999):
        phone.js("scrollTo(0, arguments[0])", end)
        assert all(map(phone.in_sight, keys)), f"marks, scrolled to {end}"
    phone.tap("Save board")
    empty_stick(phone)


def test_a_slip_on_the_keypad_is_asked_about(phone: Phone, shop: Shop) -> None:
    name = name_of(phone)
    phone.species("walnut")
    phone.length("965")
    phone.tap("Next")
    phone.length("73 3/8")
    phone.tap("Save board")
    phone.says("965 in (80 1/2 ft) long?")
    phone.says("73 3/8 in")
    phone.tap("No, correct it")
    for field, length in (("length", "96 5/8"), ("width", "7 3/8")):
        phone.field(field)
        phone.tap("clear", PAD)
        phone.length(length)
    phone.tap("Save board")
    empty_stick(phone)
    phone.says("Everything is in the rack")
    assert (shop.board(name).length, shop.board(name).width) == (Fraction(773, 8), Fraction(59, 8))


def test_an_odd_board_is_kept_if_somebody_says_so(phone: Phone, shop: Shop) -> None:
    name = name_of(phone)
    phone.species("walnut")
    phone.length("300")
    phone.tap("Next")
    phone.length("9")
    phone.tap("Save board")
    phone.tap("Yes, save it")
    empty_stick(phone)
    phone.says("Everything is in the rack")
    assert shop.board(name).length == 300


def test_the_last_point_of_a_taper_is_kept_without_next_and_an_edge_may_lie_below_the_line(phone: Phone, shop: Shop) -> None:
    name = name_of(phone)
    phone.species("walnut")
    phone.length("96")
    phone.tap("More")
    phone.field("at")
    phone.length("12")
    phone.field("near")
    phone.tap("clear", PAD)
    phone.tap("−", PAD)
    phone.length("1 1/4")
    phone.tap("Next")
    phone.length("7")
    phone.tap("Next")
    phone.says("from -1 1/4 to 7 at 12")
    phone.length("90")
    phone.tap("Save board")
    phone.says("How wide is it at 90?")
    phone.length("6 1/2")
    phone.tap("Save board")
    empty_stick(phone)
    phone.says("Everything is in the rack")
    edges = [(e.x, e.near, e.far) for e in shop.board(name).edges]
    assert edges == [(12, Fraction(-5, 4), 7), (90, 0, Fraction(13, 2))]


def test_which_way_it_is_hollow_is_one_tap(phone: Phone, shop: Shop) -> None:
    name = name_of(phone)
    phone.species("walnut")
    phone.length("96")
    phone.tap("Next")
    phone.length("7")
    phone.tap("More")
    for field in ("bow", "cup", "crook"):
        phone.field(field)
        phone.length(" 1/4")
    phone.tap("Hollow along the board: face B")
    phone.tap("Hollow edge: near edge")
    phone.tap("Save board")
    empty_stick(phone)
    phone.says("Everything is in the rack")
    board = shop.board(name)
    assert (board.bow_hollow, board.cup_hollow, board.crook_hollow) == ("B", "", "near")


def test_a_half_typed_board_survives_other_rooms_a_reload_and_a_flat_battery(phone: Phone, shop: Shop) -> None:
    name = name_of(phone)
    phone.species("white oak")
    phone.length("72 3/4")
    for room in ("Rack", "Count", "Bench", "Phone"):
        phone.go(room)
    phone.go("Measure")
    phone.says("As you left it, not chalked yet.")
    assert (name_of(phone), figure(phone, "length")) == (name, "72 3/4")
    phone.driver.refresh()
    phone.says("As you left it")
    phone.field("width")
    phone.length("5 1/8")
    phone.tap("Marks (0)")
    phone.touch(phone.spot("//*[name()='svg' and contains(@class,'board')]"))
    phone.says("Rub out")
    shop.flat_battery()
    phone = shop.phone
    phone.says("As you left it")
    phone.says(f"{name}: marks")
    assert len(phone.driver.find_elements(By.CSS_SELECTOR, "[data-flaw]")) == 1
    phone.tap("Sizes")
    assert (figure(phone, "length"), figure(phone, "width")) == ("72 3/4", "5 1/8")
    phone.tap("Save board")
    empty_stick(phone)
    phone.says("Everything is in the rack")
    kept = shop.board(name)
    assert (kept.species, kept.length, kept.width, len(kept.defects)) == ("white oak", Fraction(291, 4), Fraction(41, 8), 1)
    assert name_of(phone) != name


def test_a_correction_is_kept_too_until_it_is_thrown_away(phone: Phone, shop: Shop) -> None:
    phone.go("Rack")
    phone.tap("Correct O1")
    phone.field("width")
    phone.tap("clear", PAD)
    phone.length("6")
    phone.go("Rack")
    phone.tap("Correct O1")
    phone.says("As you left it")
    assert figure(phone, "width") == "6"
    phone.tap("Throw it away")
    phone.wait(lambda: figure(phone, "width") == "7", "the board as the rack has it")
    assert shop.board("O1").width == 7


def test_a_board_shows_at_once_on_a_signal_that_carries_nothing(phone: Phone) -> None:
    phone.stalled(True)
    try:
        phone.species("walnut")
        phone.length("50")
        phone.tap("Next")
        phone.length("5")
        phone.tap("Save board")
        empty_stick(phone)
        phone.says("1 board only on this phone")
        phone.go("Rack")
        phone.says("only on this phone")
        # A room whose answer is still on its way is left: what comes late does not replace the next one.
        phone.go("Phone")
        phone.go("Count")
        phone.says("board feet")
    finally:
        phone.stalled(False)
    phone.says("Everything is in the rack")
    assert "This phone" not in phone.text()
    assert "board feet" in phone.text()
