"""A window on the desk: Chromium driven by mouse and keyboard, and the desk in a process of its own."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

from browsing import PICTURES, Driven
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys


class Served:
    """`yieldopt desk FOLDER`."""

    def __init__(self, folder: Path) -> None:
        command = [sys.executable, "-m", "yieldopt", "desk", str(folder), "--no-browser"]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        self.url = self.next_address()

    def next_address(self) -> str:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            if line.startswith("The desk is at "):
                return line.removeprefix("The desk is at ").strip()
        raise AssertionError("the desk says no address")

    def stop(self) -> tuple[int, str]:
        """Ctrl-C: the exit status and the last lines."""
        self.process.send_signal(signal.SIGINT)
        rest, _ = self.process.communicate(timeout=60)
        return self.process.returncode, rest


class Window(Driven):
    """One browser window."""

    def __init__(self, url: str, size: tuple[int, int] = (1400, 900), dark: bool = False) -> None:
        super().__init__()
        self.sized(size)
        self.light(dark)
        self.driver.get(url)

    def sized(self, size: tuple[int, int]) -> None:
        wide, high = size
        self.cdp("Emulation.setDeviceMetricsOverride", width=wide, height=high, deviceScaleFactor=1, mobile=False)

    def press(self, *keys: str) -> None:
        """Keys, one after another, wherever the focus is."""
        ActionChains(self.driver).send_keys(*keys).perform()

    def with_control(self, key: str, shift: bool = False) -> None:
        held = [Keys.CONTROL, *([Keys.SHIFT] if shift else [])]
        chain = ActionChains(self.driver)
        for k in held:
            chain.key_down(k)
        chain.send_keys(key)
        for k in reversed(held):
            chain.key_up(k)
        chain.perform()

    def tab_to(self, words: str) -> None:
        """Press Tab until what has the focus bears these words; there is no other way without a mouse."""
        name = "const e = document.activeElement; return (e.ariaLabel || e.innerText || e.id || '').trim()"
        self.wait(lambda: self.js("return document.querySelector('main').children.length > 0"), "a room")
        for _ in range(120):
            self.press(Keys.TAB)
            if self.js(name) == words:
                return
        raise AssertionError(f"Tab never comes to {words!r}")

    def cell(self, row: int, column: str) -> str:
        """What the grid shows in a row (from 0) under a header."""
        script = (
            "const n = [...document.querySelectorAll('thead th')].findIndex(h => h.innerText === arguments[1]);"
            "return document.querySelector('tbody').children[arguments[0]].children[n].innerText"
        )
        return str(self.js(script, row, column))

    def picture(self, name: str) -> None:
        if PICTURES:
            self.driver.save_screenshot(str(Path(PICTURES) / f"desk-{name}.png"))

    def sideways(self) -> bool:
        """Whether the page as a whole must be scrolled sideways."""
        return bool(self.js("return document.documentElement.scrollWidth > innerWidth + 1"))
