"""A phone: Chromium at 390 x 844, driven by touch through Selenium, with a profile that outlives it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from browsing import BROWSER as BROWSER
from browsing import PICTURES, Driven
from selenium.common.exceptions import TimeoutException
from selenium.webdriver.common.by import By

WIDTH, HEIGHT = 390, 844


class Served:
    """`yieldopt serve` in a process of its own."""

    def __init__(self, rack: Path, *options: str) -> None:
        command = [sys.executable, "-m", "yieldopt", "serve", "--rack", str(rack), *options]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        self.lines: list[str] = []
        assert self.process.stdout is not None
        wanted = "Pairing code" if "--pair" in options else "The rack is at"
        for line in self.process.stdout:
            self.lines.append(line.strip())
            if wanted in line:
                break
        self.url = next(line.removeprefix("The rack is at ") for line in self.lines if line.startswith("The rack is at"))

    @property
    def code(self) -> str:
        return next(line.removeprefix("Pairing code: ") for line in reversed(self.lines) if line.startswith("Pairing code"))

    def next_code(self) -> str:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line.strip())
            if line.startswith("Pairing code"):
                break
        return self.code

    def stop(self) -> int:
        self.process.terminate()
        rest, _ = self.process.communicate(timeout=30)
        self.lines += rest.splitlines()
        return self.process.returncode


class Phone(Driven):
    """One phone. `taps` counts what a finger does."""

    def __init__(
        self,
        profile: Path,
        dark: bool = False,
        home: Path | None = None,
        flags: tuple[str, ...] = (),
        size: tuple[int, int] = (WIDTH, HEIGHT),
    ) -> None:
        """`home`: where the browser looks for certificates to trust; `size` of the screen in CSS pixels."""
        width, height = size
        super().__init__(f"--user-data-dir={profile}", *flags, env=os.environ | ({"HOME": str(home)} if home else {}))
        self.driver.set_script_timeout(60)
        self.cdp("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=2, mobile=True)
        self.cdp("Emulation.setTouchEmulationEnabled", enabled=True)
        self.light(dark)
        self.taps = 0

    def spot(self, xpath: str) -> tuple[float, float]:
        # Found and measured in one go: a room may be drawn anew in between.
        script = (
            "const e = document.evaluate(arguments[0], document, null, XPathResult.FIRST_ORDERED_NODE_TYPE).singleNodeValue;"
            "if (!e) return null; e.scrollIntoView({block: 'center'}); const r = e.getBoundingClientRect();"
            "return [r.left + r.width / 2, r.top + r.height / 2]"
        )
        box = self.wait(lambda: self.js(script, xpath), xpath)
        return box[0], box[1]

    def touch(self, *points: tuple[float, float]) -> None:
        """A finger down at the first point, over the others, up at the last."""
        self.cdp("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": points[0][0], "y": points[0][1]}])
        for x, y in points[1:]:
            self.cdp("Input.dispatchTouchEvent", type="touchMove", touchPoints=[{"x": x, "y": y}])
        self.cdp("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])
        self.taps += 1

    def tap(self, words: str, within: str = "//main") -> None:
        """Tap the button, link or label of exactly these words."""
        quoted = f"'{words}'" if "'" not in words else f'"{words}"'
        self.touch(self.spot(f"{within}//*[self::button or self::a][normalize-space()={quoted} or @aria-label={quoted}]"))

    def type(self, element: str, words: str) -> None:
        from selenium.common.exceptions import ElementNotInteractableException

        def typed() -> bool:
            try:
                self.driver.find_element(By.ID, element).clear()
                self.driver.find_element(By.ID, element).send_keys(words)
            except ElementNotInteractableException:
                return False
            return bool(self.driver.find_element(By.ID, element).get_attribute("value") == words)

        # A room may be drawn anew in between.
        self.wait(typed, f"{words!r} typed")

    def species(self, name: str) -> None:
        """Choose it where the rack has boards of it, else type it."""
        script = (
            "const list = document.getElementById('of-species'), has = v => [...list.options].some(o => o.value === v);"
            "const tell = (e, kind) => e.dispatchEvent(new Event(kind, {bubbles: true}));"
            "if (list) { list.value = has(arguments[0]) ? arguments[0] : 'another …'; tell(list, 'change'); }"
            "const box = document.getElementById('in-species');"
            "if (box) { box.value = arguments[0]; tell(box, 'input'); }"
            "return (document.getElementById('of-species') ?? box)?.value"
        )
        self.wait(lambda: self.js(script, name) == name, f"{name} chosen")

    def choose(self, words: str) -> None:
        """Tap one of several keys and wait until it is the chosen one: the others may move with it."""
        self.tap(words)
        self.spot(f"//main//button[normalize-space()='{words}' and @aria-pressed='true']")

    def field(self, name: str) -> None:
        """Tap a size until it is the chosen one: a tap that falls into a redraw is made again, as a hand does."""
        place = f"//*[@data-field='{name}']"
        chosen = f"return document.querySelector(\"[data-field='{name}'][aria-pressed='true']\") !== null"

        def taken() -> bool:
            from selenium.webdriver.support.ui import WebDriverWait

            self.touch(self.spot(place))
            try:
                return bool(WebDriverWait(self.driver, 1, 0.1).until(lambda _: self.js(chosen)))
            except TimeoutException:
                return False

        self.wait(taken, f"{name} chosen")

    def arrived(self, boards: int) -> None:
        """Wait until the phone knows so many boards and nothing waits to be sent; before the keypad's answer is kept, the page
        still says that everything is in the rack."""
        count = "Promise.all([m.all('boards'), m.all('ops')]).then(some => done(some.map(s => s.length)))"
        look = f"const done = arguments[0]; import('/static/state/store.js').then(m => {count})"
        self.wait(lambda: self.driver.execute_async_script(look) == [boards, 0], f"{boards} boards in the rack")
        self.says("Everything is in the rack")

    def chalk(self) -> None:
        """Keep a correction; the board's own view comes next, and then the list of boards."""
        self.tap("Save board")
        self.tap("All boards")
        self.spot("//main//h1[normalize-space()='Rack']")

    def length(self, text: str) -> None:
        """On the keypad, key by key; a fraction is one key."""
        whole, _, fraction = text.partition(" ")
        for digit in whole:
            self.tap(digit, "//div[contains(@class,'pad')]")
        if fraction:
            self.tap(fraction, "//div[contains(@class,'pad')]")

    def signal(self, there: bool) -> None:
        self.cdp("Network.enable")
        self.cdp("Network.emulateNetworkConditions", offline=not there, latency=0, downloadThroughput=-1, uploadThroughput=-1)

    def stalled(self, yes: bool) -> None:
        """A signal that is there and carries nothing: answers take minutes."""
        self.cdp("Network.enable")
        slow = {"latency": 120_000, "downloadThroughput": 1, "uploadThroughput": 1} if yes else {}
        usual = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
        self.cdp("Network.emulateNetworkConditions", **(usual | slow))

    def in_sight(self, words: str) -> bool:
        """Whether a finger on the key of these words would meet it, as the page is scrolled now."""
        script = (
            "const e = [...document.querySelectorAll('main button')].find(b => b.textContent.trim() === arguments[0]"
            " || b.ariaLabel === arguments[0]); if (!e) return false; const r = e.getBoundingClientRect();"
            "const at = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2);"
            "return r.top >= 0 && r.bottom <= innerHeight && (at === e || e.contains(at))"
        )
        return bool(self.js(script, words))

    def go(self, room: str) -> None:
        self.tap(room, "//nav")

    def picture(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        self.driver.save_screenshot(str(path))

    def kill(self) -> None:
        """Gone without a goodbye, as when a phone's system ends a page."""
        process = self.driver.service.process
        assert process is not None
        children = subprocess.run(["ps", "--ppid", str(process.pid), "-o", "pid="], capture_output=True, text=True, check=False)
        for pid in children.stdout.split():
            subprocess.run(["kill", "-9", pid], check=False)
        process.kill()
        process.wait(10)


def shot(phone: Phone, name: str) -> None:
    if PICTURES:
        phone.picture(Path(PICTURES) / f"phone-{name}.png")


def barriers(phone: Phone, where: str) -> list[str]:
    return phone.barriers(where)


def pair(phone: Phone, served: Served, code: str, name: str) -> None:
    phone.driver.get(f"{served.url}#pair={code}")
    phone.says("Pair with the rack")
    phone.type("phone-name", name)
    phone.tap("Pair")
    phone.says("Everything is in the rack")


def empty_stick(phone: Phone) -> None:
    """Ready for the next board."""
    script = "return (document.querySelector('[data-field=length]')?.innerText ?? '').startsWith('–')"
    phone.wait(lambda: phone.js(script), "an empty stick")


def log(phone: Phone, length: str, width: str, mark: bool = False) -> None:
    empty_stick(phone)
    phone.length(length)
    phone.tap("Next")
    phone.length(width)
    if mark:
        phone.tap("Marks (0)")
        x, y = phone.spot("//*[name()='svg' and contains(@class,'board')]")
        phone.touch((x, y))
        phone.tap("check")
    phone.tap("Save board")
    empty_stick(phone)
