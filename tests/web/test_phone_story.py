"""The whole visit in a real browser: what was typed by touch is what the rack has. With -s it prints figures."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

pytest.importorskip("selenium")

import segno
from phone import BROWSER, Phone, Served, barriers, empty_stick, log, pair, shot
from selenium.webdriver.common.by import By

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.drawing.board.sheetcode import payload
from yieldopt.rack.door.facade import Rack

pytestmark = BROWSER


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    page = Served(tmp_path / "shop.rack", "--port", "0", "--pair", "--job", str(inventory() / MAIN_JOB))
    yield page
    assert page.stop() == 0
    assert page.lines[-1] == "stopped"


def test_a_visit_to_the_dealer(tmp_path: Path, served: Served) -> None:
    found: list[str] = []
    phone = Phone(tmp_path / "one")
    try:
        phone.driver.get(f"{served.url}#pair={served.code}")
        phone.says("Pair with the rack")
        shot(phone, "pair")
        found += barriers(phone, "pairing")
        pair(phone, served, served.code, "one")
        phone.says("Measure a board")
        phone.species("walnut")
        log(phone, "96", "7 3/8", mark=True)
        empty_stick(phone)
        shot(phone, "measure")
        found += barriers(phone, "measuring")
        figures = []
        for length, width, mark in (("84", "6", True), ("102", "8 5/16", True), ("72", "5 1/2", True), ("90", "9 1/4", True)):
            taps, began = phone.taps, time.monotonic()
            log(phone, length, width, mark)
            figures.append((phone.taps - taps, time.monotonic() - began))
        phone.says("Everything is in the rack")
        phone.js("return navigator.serviceWorker.ready.then(() => 1)")
        phone.driver.refresh()
        phone.wait(lambda: phone.js("return Boolean(navigator.serviceWorker.controller)"), "a page kept on the phone")
        phone.signal(False)
        taps, began = phone.taps, time.monotonic()
        log(phone, "60", "4")
        figures.append((phone.taps - taps, time.monotonic() - began))
        log(phone, "48", "12")
        log(phone, "66", "7 7/8", mark=True)
        phone.says("3 boards only on this phone")
        phone.kill()
        phone = Phone(tmp_path / "one")
        phone.signal(False)
        phone.driver.get(served.url)
        phone.says("3 boards only on this phone")
        phone.go("Rack")
        phone.says("only on this phone")
        shot(phone, "rack")
        found += barriers(phone, "rack")
        two = Phone(tmp_path / "two", dark=True)
        try:
            pair(two, served, served.next_code(), "two")
            two.says("Measure a board")
            two.species("white oak")
            two.type("in-board", "B6")  # the name that the other phone gave a board while it was away
            log(two, "80", "6 1/8")
            two.says("Everything is in the rack")
            two.go("Count")
            two.says("board feet")
            shot(two, "count")
            found += barriers(two, "counting")
        finally:
            two.driver.quit()
        phone.signal(True)
        phone.js("dispatchEvent(new Event('online'))")
        phone.wait(lambda: "out of reach" not in phone.text(), "an answer")
        if "not paired" in phone.text():  # killed before the browser had written its cookie: paired again, nothing is lost
            phone.go("Phone")
            phone.says("Pair with the rack")
            phone.type("code", served.next_code())
            phone.tap("Pair")
            phone.wait(lambda: "not paired" not in phone.text(), "paired again")
            phone.go("Rack")
        phone.says("There is a B6 on the rack already.")
        found += barriers(phone, "question")
        phone.tap("Give mine this name")
        phone.says("Everything is in the rack")
        phone.go("Count")
        phone.says("Is this enough for")
        phone.says("No, not enough")
        phone.go("Rack")
        phone.tap("Correct B1")
        phone.tap("Marks (1)")
        phone.touch(phone.spot("//*[@data-flaw='0']"))
        phone.says("Rub out")
        shot(phone, "marks")
        found += barriers(phone, "marks")
        size = phone.js("return performance.getEntriesByType('resource').reduce((s, e) => s + (e.decodedBodySize || 0), 0)")
    finally:
        phone.driver.quit()
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        boards = {r.name: r.board for r in rack.boards()}
        assert rack.check() == []
    typed = {"B1": "96 7 3/8", "B2": "84 6", "B3": "102 8 5/16", "B4": "72 5 1/2", "B5": "90 9 1/4"}
    typed |= {"B6": "80 6 1/8", "B6 b": "60 4", "B7": "48 12", "B8": "66 7 7/8"}
    assert set(boards) == set(typed)
    for name, text in typed.items():
        length, *width = (Fraction(t) for t in text.split())
        assert (boards[name].length, boards[name].width) == (length, sum(width))
    assert {n for n, b in boards.items() if [d.kind for d in b.defects] == ["check"]} == {"B1", "B2", "B3", "B4", "B5", "B8"}
    for b in boards.values():
        for d in b.defects:
            assert abs(d.x + d.length / 2 - b.length / 2) < 2
            assert abs(d.y + d.width / 2 - b.width / 2) < 1
    print(f"taps and seconds a board: {[(t, round(s, 1)) for t, s in figures]}; page {size} bytes; axe: {len(found)}")
    assert found == []


def test_ticks_at_the_bench(tmp_path: Path) -> None:
    from yieldopt.cli import main

    plan = tmp_path / "plan"
    assert main(["plan", str(inventory() / "tool-rack"), "--out", str(plan), "--seconds", "3"]) in (0, 3)
    served = Served(tmp_path / "shop.rack", "--port", "0", "--plan", str(plan))
    phone = Phone(tmp_path / "one")
    try:
        phone.driver.get(served.url)
        phone.says("Everything is in the rack")
        phone.wait(lambda: phone.js("return Boolean(navigator.serviceWorker.controller)"), "a page kept on the phone")
        phone.go("Bench")
        phone.touch(phone.spot("(//main//a)[1]"))
        phone.says("E1: 0 of")
        # Sheets that nobody has opened yet are there without signal too.
        kept = "const done = arguments[0]; caches.open('sheets').then(c => c.keys()).then(k => done(k.length))"
        count = phone.js("return document.querySelectorAll('main li a').length")
        phone.wait(lambda: phone.driver.execute_async_script(kept) >= count, "every sheet kept")
        phone.signal(False)
        phone.touch(phone.spot("(//main//li/a)[last()]"))
        # The whole sheet lies in a fold that nobody has opened, and is loaded then.
        drawn = "const i = document.querySelector('#now img'); return Boolean(i && i.complete && i.naturalWidth > 300)"
        phone.wait(lambda: phone.js(drawn), "a sheet without signal")
        phone.signal(True)
        phone.js("history.back()")
        phone.says("E1: 0 of")
        phone.touch(phone.spot("(//main//a)[1]"))
        phone.says("The machine maker's instructions")
        phone.wait(lambda: phone.js(drawn), "a drawn sheet")
        found = barriers(phone, "bench")
        shot(phone, "bench")
        phone.tap("Cut 1 is made")
        phone.wait(lambda: (plan / "state.json").exists(), "a tick on the disk")
        phone.says("Everything is in the rack")
        phone.signal(False)
        phone.tap("Cut 2 is made")
        phone.says("1 tick only on this phone")
        phone.tap("‹ Before")
        phone.spot("//*[@aria-label='Cut 2 is made' and @aria-pressed='true']")
        phone.touch(phone.spot("//summary[contains(., 'Pieces')]"))
        spoiled = phone.js("return document.querySelector('[aria-label$=\" is spoiled\"]').getAttribute('aria-label')")
        phone.tap(spoiled)
        phone.spot(f"//*[@aria-label='{spoiled}' and @aria-pressed='true']")
        phone.tap("A defect")
        phone.tap("Note it")
        phone.says("From the datum end: a length is wanted")
        for cell, typed in {"x": "20 1/2", "y": "1", "length": "3", "width": " 1/2"}.items():
            phone.touch(phone.spot(f"//*[@data-note='{cell}']"))
            phone.spot(f"//*[@data-note='{cell}' and @aria-pressed='true']")
            phone.length(typed)
        found += barriers(phone, "a defect at the bench")
        phone.tap("Note it")
        phone.says("Defects found (1)")
        phone.says("3 ticks only on this phone")
        phone.kill()
        phone = Phone(tmp_path / "one")
        phone.signal(False)
        phone.driver.get(served.url)
        phone.says("3 ticks only on this phone")
        phone.signal(True)
        phone.js("dispatchEvent(new Event('online'))")
        phone.says("Everything is in the rack")
        phone.cdp("Input.synthesizePinchGesture", x=195, y=400, scaleFactor=2.0)
        phone.wait(lambda: phone.js("return visualViewport.scale") > 1.5, "a larger page")
    finally:
        phone.driver.quit()
        assert served.stop() == 0
    state = json.loads((plan / "state.json").read_text())
    assert [sorted(orders) for orders in state["cuts"].values()] == [["1", "2"]]
    piece = spoiled.removesuffix(" is spoiled")
    assert state["pieces"] == {piece: "spoiled"}
    assert [(d["kind"], d["x"]) for d in state["found"]] == [("check", "20 1/2")]
    assert found == []
    again = main(["replan", str(plan / "plan.json"), "--out", str(tmp_path / "again"), "--seconds", "6"])
    assert again in (0, 3)
    told = json.loads((tmp_path / "again" / "plan.json").read_text())
    assert told["revision"] == 2
    assert f"{piece}: spoiled" in json.dumps(told)
    assert "check found" in json.dumps(told)


def test_an_old_sheet_is_told_by_its_code(tmp_path: Path) -> None:
    """The code is photographed (a picture of it, as printed); the plan has been made anew since."""
    from yieldopt.cli import main

    plan = tmp_path / "plan"
    assert main(["plan", str(inventory() / "tool-rack"), "--out", str(plan), "--seconds", "2"]) in (0, 3)
    body = json.loads((plan / "plan.json").read_text())
    segno.make(payload(body["job"], 1, "E1"), error="m", micro=False).save(str(tmp_path / "code.png"), scale=6)
    line = f"{body['boards'][0]['board']}: cut through 1"
    assert main(["replan", str(plan / "plan.json"), "--happened", line, "--out", str(plan), "--seconds", "6"]) in (0, 3)
    served = Served(tmp_path / "shop.rack", "--port", "0", "--plan", str(plan))
    phone = Phone(tmp_path / "one")
    try:
        phone.driver.get(served.url)
        phone.says("Everything is in the rack")
        phone.go("Bench")
        phone.touch(phone.spot("(//main//a)[1]"))
        phone.touch(phone.spot("//summary[contains(., 'Is a sheet still good?')]"))
        phone.driver.find_element(By.XPATH, "//input[@type='file']").send_keys(str(tmp_path / "code.png"))
        phone.says("SUPERSEDED: this sheet is of revision 1")
        found = barriers(phone, "codes")
        shot(phone, "codes")
        phone.type("revision", "2")
        phone.tap("Ask")
        phone.says("This sheet is of revision 2, the newest.")
    finally:
        phone.driver.quit()
        assert served.stop() == 0
    assert found == []
