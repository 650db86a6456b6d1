"""A window on the desk: Chromium driven by mouse and keyboard, and the desk in a process of its own."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

from browsing import PICTURES, Driven
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

# What can have the focus, and by what name a person knows it.
NAMED = (
    "const CAN = 'a[href], button, input, select, summary, [tabindex=\"0\"]';"
    "const name = e => (e.ariaLabel || e.innerText || e.id || '').trim();"
)


class Served:
    """`yieldopt desk FOLDER`, or without one in the folder `beside`; what it remembers lies in `state`."""

    def __init__(self, folder: Path | None, state: Path, beside: Path | None = None) -> None:
        command = [sys.executable, "-m", "yieldopt", "desk", *([str(folder)] if folder else []), "--no-browser"]
        env = os.environ | {"XDG_STATE_HOME": str(state), "PYTHONPATH": os.pathsep.join(sys.path)}
        pipe = subprocess.PIPE
        self.process = subprocess.Popen(command, stdout=pipe, stderr=subprocess.STDOUT, text=True, env=env, cwd=beside)
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
        self.wait(
            lambda: self.js(f"{NAMED} return [...document.querySelectorAll(CAN)].some(e => name(e) === arguments[0])", words),
            words,
        )
        for _ in range(200):
            self.press(Keys.TAB)
            if self.js(f"{NAMED} return name(document.activeElement)") == words:
                return
        raise AssertionError(f"Tab never comes to {words!r}")

    def click(self, words: str) -> None:
        """A click of the mouse on what bears these words."""
        find = (
            f"{NAMED} const e = [...document.querySelectorAll(CAN)].find(e => name(e) === arguments[0] && !e.disabled);"
            "if (!e) return null; e.scrollIntoView({block: 'center'});"
            "const r = e.getBoundingClientRect(); return [r.left + r.width / 2, r.top + r.height / 2]"
        )
        x, y = self.wait(lambda: self.js(find, words), words)
        self.drag((x, y))

    def drag(self, start: tuple[float, float], end: tuple[float, float] | None = None) -> None:
        """With the mouse held, from one place in the window to another; without that, a click."""
        mouse = ActionChains(self.driver).w3c_actions
        mouse.pointer_action.move_to_location(round(start[0]), round(start[1])).pointer_down()
        for share in (0.3, 0.7, 1.0) if end else ():
            x, y = (a + (b - a) * share for a, b in zip(start, end or start, strict=True))
            mouse.pointer_action.move_to_location(round(x), round(y))
        mouse.pointer_action.pointer_up()
        mouse.perform()

    def touch(self, kind: str, *at: float) -> None:
        """A finger: `touchStart`, `touchMove` (with its place) or `touchEnd`."""
        points = [{"x": at[0], "y": at[1]}] if at else []
        self.cdp("Input.dispatchTouchEvent", type=kind, touchPoints=points)

    def on_board(self, board: str, along: float, across: float) -> tuple[float, float]:
        """The place in the window of a share of a board's length and of its height from above; scrolled to."""
        spot = (
            "const s = document.querySelector(`svg[data-board='${arguments[0]}']`); s.scrollIntoView({block: 'center'});"
            "const r = s.getBoundingClientRect(); return [r.left + r.width * arguments[1], r.top + r.height * arguments[2]]"
        )
        self.wait(lambda: self.js("return !!document.querySelector(`svg[data-board='${arguments[0]}']`)", board), board)
        x, y = self.js(spot, board, along, across)
        return float(x), float(y)

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
