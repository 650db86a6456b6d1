"""What the phone page asks of a phone: `python tests/bench/phone.py [TURNS]`. Not a test; figures go in reports.

A Chromium at 390 x 844 with its processor slowed four times through the DevTools protocol, as a phone's is against a desk's.
Cold: no page kept, nothing cached.
Kept: opened again without signal, from what the service worker keeps. Ready: the keypad takes a tap.
"""

from __future__ import annotations

import gzip
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "web"))

import httpx
from phone import Phone, Served, empty_stick, log

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.door.facade import new_id
from yieldopt.reading.job import read_job
from yieldopt.web.app import static_files
from yieldopt.web.exchange import as_json

SLOWER = 4
# Taps on this until the stick shows it; milliseconds since the address was asked for, by the page's own monotonic clock.
READY = """
const done = arguments[0], key = () => [...document.querySelectorAll('.pad button')].find(b => b.textContent === '7');
const look = () => {
  if (!key()) return setTimeout(look, 5);
  key().click();
  const shown = document.querySelector('[data-field=length]').textContent.startsWith('7');
  if (shown) done(performance.now()); else setTimeout(look, 5);
};
look();
"""


def first_use(profile: Path, url: str) -> tuple[float, float]:
    """Milliseconds until the first tap counts: cold, and opened again without signal."""
    phone = Phone(profile)
    try:
        phone.cdp("Emulation.setCPUThrottlingRate", rate=SLOWER)
        phone.driver.get(url)
        cold = phone.driver.execute_async_script(READY)
        phone.js("return navigator.serviceWorker.ready.then(() => 1)")
        phone.driver.refresh()
        phone.wait(lambda: phone.js("return Boolean(navigator.serviceWorker.controller)"), "a page kept on the phone")
        phone.signal(False)
        phone.driver.get(url)
        return cold, phone.driver.execute_async_script(READY)
    finally:
        phone.driver.quit()


def a_board(profile: Path, url: str) -> tuple[int, float, float]:
    """Taps of the fastest way to log a board, its seconds, and those of one with a mark; the driver's own pauses included."""
    phone = Phone(profile)
    try:
        phone.cdp("Emulation.setCPUThrottlingRate", rate=SLOWER)
        phone.driver.get(url)
        phone.says("Measure a board")
        phone.species("walnut")
        log(phone, "96", "7 3/8")
        empty_stick(phone)
        taps, began = phone.taps, time.monotonic()
        log(phone, "84", "6")
        plain, marked = time.monotonic() - began, time.monotonic()
        taps = phone.taps - taps
        log(phone, "102", "8 5/16", mark=True)
        return taps, plain, time.monotonic() - marked
    finally:
        phone.driver.quit()


def is_it_enough(url: str) -> tuple[int, float, str]:
    """The demo's boards put on the rack as a phone would, and how long until there is an answer: boards, seconds, answer."""
    ids = []
    with httpx.Client(base_url=url, headers={"x-yieldopt": "1"}, timeout=120) as client:
        for board in read_job(inventory() / MAIN_JOB).boards:
            told = as_json(RackBoard(new_id(), board))
            ids.append(told["id"])
            body = {"key": told["id"], "cells": told["cells"], "defects": told["defects"], "edges": told["edges"]}
            client.put(f"/api/boards/{told['id']}", json=body).raise_for_status()
        began = time.monotonic()
        told = client.post("/api/jobs/0/enough", json={"boards": ids}).raise_for_status().json()
        while told["answer"] == "not known" and told["state"] != "done":
            time.sleep(0.5)
            told = client.get(f"/api/jobs/0/enough/{told['ask']}").raise_for_status().json()
        return len(ids), time.monotonic() - began, told["answer"]


def main(turns: int) -> None:
    """Print weight, first use and the time of a board."""
    contents = static_files()
    whole, packed = sum(map(len, contents.values())), sum(len(gzip.compress(c)) for c in contents.values())
    print(
        f"page: {len(contents)} files besides the shell, {whole / 1000:.1f} kB as sent, {packed / 1000:.1f} kB were they packed"
    )
    with tempfile.TemporaryDirectory() as folder:
        served = Served(Path(folder) / "shop.rack", "--port", "0", "--job", str(inventory() / MAIN_JOB))
        try:
            times = [first_use(Path(folder) / f"phone {n}", served.url) for n in range(turns)]
            for words, found in zip(("cold", "kept, no signal"), zip(*times, strict=True), strict=True):
                print(f"first use, {words}, processor {SLOWER} times slower: median {statistics.median(found):.0f} ms of {turns}")
            taps, plain, marked = a_board(Path(folder) / "logging", served.url)
            print(f"a board: {taps} taps, {plain:.1f} s by the driver; with a mark {marked:.1f} s")
            boards, seconds, answer = is_it_enough(served.url)
            print(f"is this enough, {boards} boards, the first question since the start: {answer} after {seconds:.1f} s")
        finally:
            served.stop()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
