"""At the bench with a small phone: one cut at a time with its figure, a defect by touching the drawing, planning again."""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import httpx
import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone, Served, barriers

from yieldopt.cli import main
from yieldopt.demo import inventory

pytestmark = BROWSER


class Bench:
    """A served plan and one small phone that shows the first board with cuts."""

    def __init__(self, folder: Path) -> None:
        self.plan = folder / "plan"
        assert main(["plan", str(inventory() / "tool-rack"), "--out", str(self.plan), "--seconds", "3"]) in (0, 3)
        self.served = Served(folder / "shop.rack", "--port", "0", "--plan", str(self.plan))
        self.phone = Phone(folder / "one", size=(360, 640))
        self.phone.driver.get(self.served.url)
        self.phone.says("Everything is in the rack")
        self.open()

    def open(self, board: int = 1) -> None:
        self.phone.go("Bench")
        self.phone.touch(self.phone.spot("(//main//a)[1]"))
        self.phone.says("Plan again")
        self.phone.touch(self.phone.spot(f"(//main//li/a)[{board}]"))
        self.phone.says("local rules and trained practice come first")

    def told(self) -> dict[str, Any]:
        return dict(httpx.get(f"{self.served.url}api/bench/0", timeout=60).json())

    def spoiled(self) -> list[str]:
        return [p["piece"] for b in self.told()["boards"] for p in b["pieces"] if p["state"] == "spoiled"]

    def state(self) -> dict[str, Any]:
        return dict(json.loads((self.plan / "state.json").read_text()))


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    bench = Bench(tmp_path_factory.mktemp("bench"))
    yield bench
    bench.phone.driver.quit()
    assert bench.served.stop() == 0


def test_one_cut_with_its_drawing_its_figure_and_one_big_key(bench: Bench) -> None:
    phone, board = bench.phone, bench.told()["boards"][0]
    drawn = "const i = document.querySelector('#now img'); return Boolean(i && i.complete && i.naturalWidth > 300)"
    left = [cut for cut in board["cuts"] if cut["state"] != "done"][:3]
    for cut in left:
        phone.wait(lambda cut=cut: phone.in_sight(f"Cut {cut['order']} is made"), "its key in sight")
        assert phone.js("return document.getElementById('figure').firstChild.textContent") == cut["at"]
        phone.says(cut["origin"])
        phone.wait(lambda: phone.js(drawn), "its part of the drawing")
        ring = phone.js(
            "const r = document.querySelector('.ring').getBoundingClientRect(), p = document.querySelector('.part-of')"
            ".getBoundingClientRect(); return [p.top - r.top, r.bottom - p.bottom, p.bottom - innerHeight, p.top]"
        )
        assert ring[0] < 20, "the ring lies on the part that shows"
        assert ring[1] < 20
        assert ring[2] < 0 < ring[3], "the drawing is seen with the key"
        phone.tap(f"Cut {cut['order']} is made")
    assert barriers(phone, "a cut") == []
    phone.says("Everything is in the rack")
    assert {str(cut["order"]) for cut in left} <= set(bench.state()["cuts"][board["board"]])


def test_a_tick_shows_at_once_on_a_signal_that_carries_nothing(bench: Bench) -> None:
    phone = bench.phone
    bench.open()
    cuts = bench.told()["boards"][0]["cuts"]
    done = sum(c["state"] == "done" for c in cuts)
    n = next(n for n, c in enumerate(cuts) if c["state"] != "done")
    phone.stalled(True)
    try:
        phone.tap(f"Cut {cuts[n]['order']} is made")
        phone.says("1 tick only on this phone")
        phone.says(f"{done + 1} of ")
        phone.go("Bench")
        phone.touch(phone.spot("(//main//a)[1]"))
        phone.says(f"{done + 1} of ")
    finally:
        phone.stalled(False)
    phone.says("Everything is in the rack")
    assert bench.told()["boards"][0]["cuts"][n]["state"] == "done"


def test_a_defect_is_noted_by_touching_the_drawing_and_can_be_taken_back(bench: Bench) -> None:
    phone = bench.phone
    bench.open()
    phone.tap("A defect")
    strip = bench.told()["boards"][0]["strips"][0]
    wood = (
        "const s = arguments[0], e = document.querySelector('#touch .part-of'); e.scrollIntoView({block: 'center'});"
        "const r = e.getBoundingClientRect(), k = r.width / arguments[1];"
        "return [r.left + (s.left + (10 - s.start) * s.points) * k, r.top + (s.top + (s.high - 2) * s.points - s.upper) * k]"
    )
    width = bench.told()["boards"][0]["pages"][0][0]
    phone.wait(lambda: phone.js("return Boolean(document.querySelector('#touch .part-of'))"), "the drawing")
    phone.touch(tuple(phone.js(wood, strip, width)))
    phone.spot("//*[@data-note='x' and not(starts-with(., '–'))]")
    assert phone.js("return document.querySelectorAll('#touch .ring').length") >= 1
    phone.tap("knot")
    assert barriers(phone, "a defect") == []
    phone.tap("Note it")
    phone.says("Defects found (1)")
    phone.says("Everything is in the rack")
    (found,) = bench.state()["found"]
    # A touch marks an inch round the finger: 10 from the datum end, 2 from the near edge.
    x, y = (float(sum(map(Fraction, found[k].split()))) for k in ("x", "y"))
    assert (found["kind"], found["length"], found["width"]) == ("knot", "1", "1")
    assert (x, y) == (pytest.approx(9.5, abs=0.4), pytest.approx(1.5, abs=0.4))
    phone.touch(phone.spot("//button[starts-with(@aria-label, 'Take back the knot')]"))
    phone.says("Defects found (0)")
    phone.says("Everything is in the rack")
    phone.wait(lambda: bench.state()["found"] == [], "taken back at the rack")


# The phone's store answers nobody until it is let go: a slow phone, or one that is writing a photo.
HELD = """
indexedDB.open('rack').onsuccess = e => {
  const t = e.target.result.transaction(['facts', 'ops'], 'readwrite').objectStore('facts');
  const on = () => { if (!window.letGo) t.get('nothing').onsuccess = on; };
  window.letGo = false; on();
};
"""


def test_quick_taps_are_not_lost_while_the_phone_is_busy(bench: Bench) -> None:
    """What is tapped is chosen before the next tap, and nothing moves under the finger once the store answers."""
    phone = bench.phone
    bench.open()
    phone.js(HELD)
    phone.tap("A defect")
    phone.tap("Note it")
    phone.says("From the datum end: a length is wanted")
    for cell, typed in {"x": "20 1/2", "width": " 3/4"}.items():
        phone.touch(phone.spot(f"//*[@data-note='{cell}']"))
        phone.spot(f"//*[@data-note='{cell}' and @aria-pressed='true']")
        phone.length(typed)
    phone.js("scrollTo(0, 60)")
    told = "return [...document.querySelectorAll('[data-note]')].map(b => b.firstChild.textContent).concat(scrollY)"
    before = phone.js(told)
    phone.js("window.letGo = true")
    phone.arrived(0)
    assert phone.js(told) == before == ["20 1/2", "–", "–", "3/4", 60]
    phone.tap("Leave it")
    phone.spot("//*[@id='figure']")


def test_planned_again_from_the_phone_the_ticks_still_count(bench: Bench) -> None:
    phone = bench.phone
    piece = bench.told()["boards"][-1]["pieces"][0]["piece"]
    bench.open(len(bench.told()["boards"]))
    phone.touch(phone.spot("//summary[contains(., 'Pieces')]"))
    phone.tap(f"{piece} is spoiled")
    phone.wait(lambda: bench.spoiled() == [piece], "the piece told of")
    phone.go("Bench")
    phone.touch(phone.spot("(//main//a)[1]"))
    phone.says("1 piece spoiled since this plan")
    phone.tap("Plan again")
    phone.says("Revision 2")
    told = bench.told()
    assert told["revision"] == 2
    first = next(b for b in told["boards"] if sum(c["state"] == "done" for c in b["cuts"]) >= 4)
    phone.says(f"{first['board']}: {sum(c['state'] == 'done' for c in first['cuts'])} of {len(first['cuts'])} cuts")
