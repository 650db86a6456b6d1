"""A page in a real Chromium driven through Selenium: what the phone's tests and the desk's have in common."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from typing import Any

import pytest
from axe_core_python.selenium import Axe
from selenium import webdriver
from selenium.common.exceptions import StaleElementReferenceException, TimeoutException
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.support.ui import WebDriverWait

CHROMIUM = next((p for p in map(shutil.which, ("chromium", "chromium-browser", "google-chrome")) if p), None)
DRIVER = shutil.which("chromedriver")
# The marks of a test that drives one.
BROWSER = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None or DRIVER is None, reason="no Chromium with its driver on this machine"),
]
PATIENCE = float(os.environ.get("YIELDOPT_PATIENCE", "60"))
# Where to leave pictures of each room, for somebody to look at.
PICTURES = os.environ.get("YIELDOPT_PICTURES")
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


class Driven:
    """A browser of its own; `flags` are further options of the command line, `env` of its process."""

    def __init__(self, *flags: str, env: dict[str, str] | None = None) -> None:
        options = webdriver.ChromeOptions()
        options.binary_location = str(CHROMIUM)
        for flag in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", *flags):
            options.add_argument(flag)
        self.driver = webdriver.Chrome(options=options, service=Service(str(DRIVER), env=env))

    def cdp(self, method: str, **params: Any) -> Any:
        return self.driver.execute_cdp_cmd(method, params)

    def light(self, dark: bool) -> None:
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.cdp("Emulation.setEmulatedMedia", features=[scheme])

    def js(self, script: str, *args: Any) -> Any:
        return self.driver.execute_script(script, *args)

    def wait(self, what: Callable[[], Any], why: str) -> Any:
        return WebDriverWait(self.driver, PATIENCE, 0.1, [StaleElementReferenceException]).until(lambda _: what(), why)

    def text(self) -> str:
        return str(self.js("return document.body.innerText"))

    def says(self, words: str) -> None:
        try:
            self.wait(lambda: words in self.text(), f"{words!r}")
        except TimeoutException:
            raise AssertionError(f"{words!r} is not in {self.text()[:600]!r}; {self.driver.get_log('browser')[-5:]}") from None

    def barriers(self, where: str) -> list[str]:
        """What axe has against the room, by the rules of WCAG 2.2 A and AA."""
        found = Axe().run(self.driver, options={"runOnly": WCAG})
        return [f"{where}: {v['id']} {[n['html'][:120] for n in v['nodes']]}" for v in found["violations"]]
