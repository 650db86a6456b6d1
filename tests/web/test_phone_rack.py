"""The rack and the count on a small screen: thousands of boards, holds, two versions of one board, is this enough."""

from __future__ import annotations

import time
import uuid
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import httpx
import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone, Served, barriers, empty_stick
from selenium.webdriver.common.by import By

from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.door.facade import Rack, new_id
from yieldopt.wood.lumber import Board, EdgePoint

pytestmark = BROWSER
JOB = """name = "{name}"
units = "in"
"""
PARTS = "part,qty,species,thickness,width,length\n{rows}\n"
WALNUT, OAK, WANEY = new_id(), new_id(), new_id()


def job(folder: Path, name: str, *rows: str) -> Path:
    folder.mkdir(parents=True)
    (folder / "job.toml").write_text(JOB.format(name=name), encoding="utf-8")
    (folder / "parts.csv").write_text(PARTS.format(rows="\n".join(rows)), encoding="utf-8")
    return folder


def board(id: str, name: str, species: str, width: int = 8, **more: Any) -> RackBoard:
    made = Board(name, species, "4/4", Fraction(1), Fraction(96), Fraction(width), Fraction(1), **more)
    return RackBoard(id, made)


class Shop:
    """A rack with three boards, one held for another job, and two jobs: one that is easy, one that no wood here is for."""

    def __init__(self, folder: Path) -> None:
        self.rack = folder / "shop.rack"
        with Rack.open(self.rack, create=True) as rack:
            rack.log(board(WALNUT, "W1", "walnut"))
            rack.log(board(OAK, "O1", "white oak"))
            edges = (EdgePoint(Fraction(0), Fraction(-1), Fraction(7)), EdgePoint(Fraction(96), Fraction(-1), Fraction(7)))
            rack.log(board(WANEY, "M4", "soft maple", edges=edges))
            rack.hold("a chair", ["O1"])
        shelf = job(folder / "shelf", "a shelf", "shelf,1,walnut,3/4,6,40", "back,1,soft maple,3/4,7,40")
        table = job(folder / "table", "a table", "top,1,ash,3/4,6,40")
        self.served = Served(self.rack, "--port", "0", "--job", str(shelf), "--job", str(table))
        self.phone = Phone(folder / "one", size=(360, 640))
        self.phone.driver.get(self.served.url)
        self.phone.says("Everything is in the rack")

    def api(self, method: str, path: str, **body: Any) -> Any:
        answer = httpx.request(method, f"{self.served.url}api/{path}", json=body or None, headers={"x-yieldopt": "1"})
        assert answer.status_code == 200, answer.text
        return answer.json()

    def version(self, id: str) -> dict[str, Any]:
        return dict(self.api("GET", f"boards/{id}")["board"])

    def change(self, id: str, **more: Any) -> None:
        """Somebody else's correction, from what the rack has."""
        there = self.version(id)
        cells = there["cells"] | more.pop("cells", {})
        rows = {"defects": there["defects"], "edges": there["edges"]} | more
        self.api("PUT", f"boards/{id}", key=str(uuid.uuid4()), base=there["version"], cells=cells, **rows)

    def told(self, name: str) -> Board:
        with Rack.open(self.rack, read_only=True) as rack:
            return rack.board(name).board


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    shop = Shop(tmp_path_factory.mktemp("rack"))
    yield shop
    shop.phone.driver.quit()
    assert shop.served.stop() == 0


def counted(phone: Phone) -> str:
    return str(phone.js("return document.getElementById('feet')?.textContent ?? ''"))


def test_the_rack_and_a_boards_own_view_say_who_holds_it(shop: Shop) -> None:
    phone = shop.phone
    phone.go("Rack")
    phone.says("held for a chair by")
    phone.touch(phone.spot(f"//a[@href='#/rack/{OAK}']"))
    phone.says("O1, 4/4 white oak")
    phone.says("Held for a chair by")
    phone.says("What has happened to it")
    assert phone.driver.find_elements(By.CSS_SELECTOR, "svg.board .wood")
    assert barriers(phone, "a board") == []


def test_a_label_scanned_opens_its_board(shop: Shop, tmp_path: Path) -> None:
    import segno

    from yieldopt.rack.show.labels import payload

    with Rack.open(shop.rack, read_only=True) as rack:
        segno.make(payload(rack.board("W1")), error="m", micro=False).save(str(tmp_path / "label.png"), scale=6)
    phone = shop.phone
    phone.go("Rack")
    phone.spot("//*[@id='label']")
    phone.driver.find_element(By.ID, "label").send_keys(str(tmp_path / "label.png"))
    phone.says("W1, 4/4 walnut")


def test_is_this_enough_comes_first_and_leaves_out_what_is_held(shop: Shop) -> None:
    phone = shop.phone
    phone.go("Count")
    phone.says("Is this enough for a shelf?")
    phone.says("Yes, enough")
    order = phone.js("return document.getElementById('answer').compareDocumentPosition(document.getElementById('feet'))")
    assert order & 4, "the answer stands before the board feet"
    # Two boards of 96 by 8, the third is held for the chair: 5 1/3 board feet each, by the table of the trade.
    assert counted(phone) == "10.67 board feet"
    phone.says("1 held for another job is not counted")
    phone.says("held for a chair by")
    script = "const s = document.querySelector('main select'); s.value = '1'; s.dispatchEvent(new Event('change'))"
    phone.js(script)
    phone.says("Is this enough for a table?")
    phone.says("No, not enough")
    phone.says("1 × top")
    assert barriers(phone, "the count") == []
    phone.js(script.replace("'1'", "'0'"))
    phone.says("Yes, enough")


def test_all_none_species_and_a_new_board_is_counted(shop: Shop) -> None:
    phone = shop.phone
    phone.go("Count")
    phone.tap("None")
    phone.wait(lambda: counted(phone) == "0.00 board feet", "none")
    phone.says("Not known")
    phone.tap("Only walnut")
    phone.wait(lambda: counted(phone) == "5.33 board feet", "only walnut")
    phone.go("Measure")
    phone.species("cherry")
    phone.length("48")
    phone.tap("Next")
    phone.length("6")
    phone.tap("Save board")
    empty_stick(phone)
    phone.go("Count")
    phone.wait(lambda: counted(phone) == "7.33 board feet", "the new one with it")
    phone.tap("All")
    phone.wait(lambda: counted(phone) == "12.67 board feet", "all")


def test_two_changes_in_different_places_are_both_kept(shop: Shop) -> None:
    phone = shop.phone
    phone.signal(False)
    correct(phone, "W1", "width", "7 1/2")
    phone.says("correction only on this phone")
    shop.change(WALNUT, cells={"thickness": "1 1/8"}, edges=[])
    back(phone)
    phone.says("Everything is in the rack")
    assert (shop.told("W1").width, shop.told("W1").thickness) == (Fraction(15, 2), Fraction(9, 8))


def test_two_outlines_are_shown_and_asked_about_field_by_field(shop: Shop) -> None:
    phone = shop.phone
    phone.signal(False)
    phone.go("Rack")
    phone.tap("Correct M4")
    phone.field("thickness")
    phone.tap("clear", "//div[contains(@class,'pad')]")
    phone.length("1 1/4")
    phone.tap("Rub out the width at 96")
    phone.tap("Save board")
    phone.says("M4, 4/4 soft maple")
    shop.change(WANEY, cells={"thickness": "1 1/16", "remarks": "bark on"}, edges=[{"x": "0", "near": "0", "far": "6"}])
    back(phone)
    phone.go("Rack")
    phone.says("M4 was changed elsewhere too.")
    rows = phone.js("return [...document.querySelectorAll('table tr')].map(r => r.innerText.split(/\\t/).map(t => t.trim()))")
    assert ["outline", "0: -1 to 7", "0: 0 to 6"] in rows
    assert ["thickness", "1 1/4", "1 1/16"] in rows
    assert not any(r[0] == "remarks" for r in rows), "nothing is asked about what only one has changed"
    assert barriers(phone, "two versions") == []
    phone.touch(phone.spot("//table//button[normalize-space()='1 1/16']"))
    phone.tap("Keep what is marked")
    phone.says("Everything is in the rack")
    kept = shop.told("M4")
    assert (kept.thickness, shop.version(WANEY)["cells"]["remarks"]) == (Fraction(17, 16), "bark on")
    assert [(e.near, e.far) for e in kept.edges] == [(-1, 7)]


def test_thousands_of_boards_are_searched_and_only_those_in_sight_are_in_the_page(shop: Shop) -> None:
    phone = shop.phone
    fill = """
    const done = arguments[0];
    import('/static/state/store.js').then(m => m.change(['boards'], async s => {
      for (let i = 0; i < 5000; i++) s.boards.put({id: `00000000-0000-4000-8000-${String(i).padStart(12, '0')}`, version: 'v',
        cells: {board: `X${i}`, species: i % 2 ? 'ash' : 'elm', quarters: i % 3 ? '4/4' : '8/4', length: String(30 + i % 90),
        width: '6', place: `bay ${i % 7}`}, defects: [], edges: [], photos: []});
    })).then(() => import('/static/state/reach.js')).then(m => { m.tell(); done(); });
    """
    phone.go("Rack")
    phone.driver.execute_async_script(fill)
    with Rack.open(shop.rack, read_only=True) as rack:
        total = f"{5000 + len(rack.boards()):,}"
    phone.says(f"{total} boards")
    lines = "return document.querySelectorAll('ul.long > li').length"
    assert phone.js(lines) < 40
    began = time.monotonic()
    phone.js("scrollTo(0, document.body.scrollHeight / 2)")
    # X2489 or so: a line far down is there once it is in sight.
    phone.wait(lambda: "X24" in phone.text() or "X25" in phone.text(), "lines in the middle")
    print(f"scrolled to the middle in {time.monotonic() - began:.1f} s")
    assert phone.js(lines) < 40
    phone.js("scrollTo(0, 0)")
    phone.touch(phone.spot("//summary"))
    for field, value in {"species": "ash", "quarters": "8/4", "place": "bay 3"}.items():
        phone.js(
            "const e = document.getElementById(`find-${arguments[0]}`); e.value = arguments[1];"
            "e.dispatchEvent(new Event('change'))",
            field,
            value,
        )
    phone.type("find-least", "9' 6")
    expected = [i for i in range(5000) if i % 2 and i % 3 == 0 and i % 7 == 3 and 30 + i % 90 >= 114]
    phone.says(f"{len(expected)} of {total} boards")
    assert f"X{expected[0]} " in phone.text()
    assert barriers(phone, "search") == []


def correct(phone: Phone, name: str, field: str, length: str) -> None:
    phone.go("Rack")
    phone.tap(f"Correct {name}")
    phone.field(field)
    phone.tap("clear", "//div[contains(@class,'pad')]")
    phone.length(length)
    phone.tap("Save board")


def back(phone: Phone) -> None:
    phone.signal(True)
    phone.js("dispatchEvent(new Event('online'))")
