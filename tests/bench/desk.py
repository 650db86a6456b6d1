"""What the desk asks of a browser: `python tests/bench/desk.py [BOARDS [PIECES]]`. Not a test; figures go in reports.

A made-up job of 60 boards and 180 pieces. A Chromium at 1400 x 900 with its processor slowed four times through the DevTools
protocol; a piece is carried over the boards, and the browser's own tracing says what each frame took on the page's thread:
scripts, style, layout and paint together. Opening: from the address until the plan is drawn, not slowed.
Scrolling: 1,000 boards from end to end, slowed.
"""

from __future__ import annotations

import csv
import json
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "desk"))

from browsing import CHROMIUM, DRIVER
from selenium import webdriver
from selenium.webdriver.chrome.service import Service
from window import Served

from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import files_of
from yieldopt.planning import plan_job
from yieldopt.reading import read_job
from yieldopt.reading.blank import blank_files

SLOWER = 4
BOARDS, PIECES, MANY = 60, 180, 1000
CATEGORIES = "devtools.timeline,disabled-by-default-devtools.timeline"
# A frame of the renderer's main thread, from its scripts to its commit.
FRAME = "AnimationFrame"
MARK = "here it begins"

SCROLL = """
const done = arguments[0];
let n = 0;
const step = () => {
  scrollBy(0, 400);
  if (n++ < 200) requestAnimationFrame(step);
  else done(n);
};
step();
"""


def job(folder: Path, boards: int, pieces: int) -> Path:
    """Alike boards with a knot each, three pieces to a board."""
    write_all_atomically(folder, blank_files("many", "in"))
    tables: dict[str, list[dict[str, str]]] = {
        "boards.csv": [
            {"board": f"B{n}", "species": "oak", "quarters": "4/4", "length": str(96 + n % 12), "width": "8", "cost": "30"}
            for n in range(1, boards + 1)
        ],
        "defects.csv": [
            {"board": f"B{n}", "kind": "knot", "face": "A", "x": "70", "y": "3", "length": "1", "width": "1"}
            for n in range(1, boards + 1)
        ],
        "parts.csv": [
            {"part": f"rail {n}", "qty": str(pieces // 9), "species": "oak", "width": "5", "length": str(20 + n)}
            | {"thickness": "3/4"}
            for n in range(9)
        ],
    }
    for name, rows in tables.items():
        with (folder / name).open("w", newline="", encoding="utf-8") as f:
            writer = csv.DictWriter(f, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
    return folder


def traced() -> webdriver.Chrome:
    """A browser that keeps its trace."""
    options = webdriver.ChromeOptions()
    options.binary_location = str(CHROMIUM)
    for flag in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--window-size=1400,900"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"performance": "ALL"})
    options.add_experimental_option("perfLoggingPrefs", {"traceCategories": CATEGORIES})
    return webdriver.Chrome(options=options, service=Service(str(DRIVER)))


def frames(browser: webdriver.Chrome) -> list[float]:
    """Milliseconds of each frame since the mark. Can be asked once a browser: the trace ends with it."""
    said = [json.loads(e["message"])["message"] for e in browser.get_log("performance")]  # type: ignore[no-untyped-call]
    events: list[dict[str, Any]] = [m["params"] for m in said if m["method"] == "Tracing.dataCollected"]
    since = next(e["ts"] for e in events if e.get("name") == "TimeStamp" and MARK in json.dumps(e["args"]))
    begun: dict[object, float] = {}
    found = []
    for e in sorted((e for e in events if e.get("name") == FRAME and e["ts"] >= since), key=lambda e: e["ts"]):
        which = json.dumps([e.get("pid"), e.get("id"), e.get("id2")])
        if e["ph"] == "b":
            begun[which] = e["ts"]
        elif e["ph"] == "e" and which in begun:
            found.append((e["ts"] - begun.pop(which)) / 1000)
    return found


def mark(browser: webdriver.Chrome) -> None:
    """From here on frames count."""
    browser.execute_script(f"console.timeStamp('{MARK}')")


def told(what: str, times: list[float]) -> None:
    """Median and worst of some frames."""
    if times:
        print(f"{what}: {len(times)} frames, median {statistics.median(times):.1f} ms, worst {max(times):.1f} ms")
    else:
        print(f"{what}: the browser traced no frame")


def until(browser: webdriver.Chrome, script: str) -> None:
    """Wait until the script says so."""
    end = time.monotonic() + 300
    while not browser.execute_script(f"return {script}"):
        assert time.monotonic() < end, script
        time.sleep(0.02)


def carried(browser: webdriver.Chrome) -> None:
    """A piece carried over the boards by the mouse, 300 moves."""
    until(browser, "!!document.querySelector('.piece')")
    browser.execute_script("document.querySelector('ul.parts button').click()")
    carry = "[...document.querySelectorAll('button')].find(b => b.innerText === 'Carry it elsewhere')"
    until(browser, f"!!{carry}")
    browser.execute_script(f"{carry}.click()")
    until(browser, "!!document.querySelector('.ghost')")
    browser.execute_cdp_cmd("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    mark(browser)
    for n in range(300):
        at = {"type": "mouseMoved", "x": 200 + n * 2, "y": 200 + (n * 7) % 600}
        browser.execute_cdp_cmd("Input.dispatchMouseEvent", at)
    told("carrying a piece", frames(browser))


def main() -> None:
    given = [int(a) for a in sys.argv[1:3]]
    boards, pieces = [*given, *(BOARDS, PIECES)[len(given) :]]
    with tempfile.TemporaryDirectory() as temporary:
        folder = job(Path(temporary) / "many", boards, pieces)
        read = read_job(folder)
        write_all_atomically(folder / "plan", files_of(read, plan_job(read, seconds=60, steps=2).plan))
        served = Served(folder, Path(temporary) / "state")
        browser = traced()
        browser.get(served.url)
        until(browser, "!!document.querySelector('td')")
        began = time.monotonic()
        browser.get(served.url.partition("#")[0] + "#/plan")
        browser.refresh()
        until(browser, "document.querySelectorAll('.piece').length > 100")
        print(f"opening {boards} boards with {pieces} pieces, to the plan drawn: {time.monotonic() - began:.2f} s")
        carried(browser)
        browser.quit()
        served.stop()
        many = job(Path(shutil.copytree(folder, Path(temporary) / "rack", ignore=shutil.ignore_patterns("*"))), MANY, pieces)
        served = Served(many, Path(temporary) / "state")
        browser = traced()
        browser.get(served.url)
        until(browser, "!!document.querySelector('td')")
        browser.execute_script("location.hash = '#/boards'")
        until(browser, f"document.querySelectorAll('figure').length === {MANY}")
        browser.execute_cdp_cmd("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        mark(browser)
        browser.set_script_timeout(300)
        browser.execute_async_script(SCROLL)
        told(f"scrolling {MANY} boards", frames(browser))
        browser.quit()
        served.stop()


if __name__ == "__main__":
    main()
