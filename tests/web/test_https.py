"""HTTPS with the shop's own certificate, and what a phone can do without it: each tried in a browser."""

from __future__ import annotations

import shutil
import subprocess
from contextlib import suppress
from pathlib import Path

import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone, Served, log
from selenium.common.exceptions import WebDriverException

from yieldopt.rack.door.facade import Rack

CERTUTIL = shutil.which("certutil")
pytestmark = BROWSER


def trusting(home: Path, authority: Path) -> Path:
    """A home whose browser trusts this authority, as a phone does once it was installed there."""
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    for options in (["-N", "--empty-password"], ["-A", "-t", "C,,", "-n", "shop", "-i", str(authority)]):
        subprocess.run([str(CERTUTIL), "-d", f"sql:{store}", *options], check=True, capture_output=True)
    return home


@pytest.mark.skipif(CERTUTIL is None, reason="no certutil, which puts a certificate into the browser's store")
def test_a_trusted_certificate_lets_the_page_open_without_signal(tmp_path: Path) -> None:
    served = Served(tmp_path / "shop.rack", "--port", "0", "--https", "--pair")
    home = trusting(tmp_path / "home", tmp_path / "shop.rack.certificate" / "authority.crt")
    phone = Phone(tmp_path / "one", home=home)
    try:
        assert served.url.startswith("https://localhost:")
        phone.driver.get(f"{served.url}#pair={served.code}")
        phone.says("Pair with the rack")
        phone.tap("Pair")
        phone.says("Everything is in the rack")
        phone.js("return navigator.serviceWorker.ready.then(() => 1)")
        phone.driver.refresh()
        phone.go("Phone")
        phone.says("This page opens without signal.")
        cookie = phone.driver.get_cookie("yieldopt_phone")
        assert (cookie["secure"], cookie["httpOnly"], cookie["sameSite"]) == (True, True, "Strict")
        phone.signal(False)
        phone.driver.get(served.url)
        phone.says("Measure a board")
        phone.species("ash")
        log(phone, "60", "5")
        phone.says("1 board only on this phone")
        phone.signal(True)
        phone.js("dispatchEvent(new Event('online'))")
        phone.says("Everything is in the rack")
    finally:
        phone.driver.quit()
        assert served.stop() == 0
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert [r.name for r in rack.boards()] == ["B1"]


def test_without_trust_the_browser_warns_and_past_the_warning_the_page_says_what_is_missing(tmp_path: Path) -> None:
    served = Served(tmp_path / "shop.rack", "--port", "0", "--https")
    try:
        wary = Phone(tmp_path / "wary", home=tmp_path)
        try:
            with suppress(WebDriverException):  # some drivers say so, all show it
                wary.driver.get(served.url)
            wary.wait(lambda: "ERR_CERT_AUTHORITY_INVALID" in wary.driver.page_source, "the browser's warning")
            wary.js("document.getElementById('proceed-link').click()")
            wary.says("Everything is in the rack")
            wary.go("Phone")
            wary.says("does not trust the certificate")
        finally:
            wary.driver.quit()
    finally:
        assert served.stop() == 0


def test_an_open_page_without_https_logs_without_signal_and_says_what_a_reload_would_cost(tmp_path: Path) -> None:
    served = Served(tmp_path / "shop.rack", "--port", "0", "--pair", "--name", "shop.test")
    phone = Phone(tmp_path / "one", flags=("--host-resolver-rules=MAP shop.test 127.0.0.1",))
    address = served.url.replace("localhost", "shop.test")
    try:
        phone.driver.get(f"{address}#pair={served.code}")
        phone.says("Pair with the rack")
        assert phone.js("return isSecureContext") is False
        phone.says("loading it again needs the shop's network")
        phone.tap("Pair")
        phone.says("Everything is in the rack")
        phone.says("Measure a board")
        phone.signal(False)
        phone.species("ash")
        log(phone, "60", "5")
        phone.says("1 board only on this phone")
        phone.kill()
        phone = Phone(tmp_path / "one", flags=("--host-resolver-rules=MAP shop.test 127.0.0.1",))
        phone.driver.get(address)
        # Killed before the browser had written its cookie, it is paired again; the board is there all the same.
        phone.wait(lambda: "Everything is in the rack" in phone.text() or "not paired" in phone.text(), "an answer")
        if "not paired" in phone.text():
            phone.says("1 board only on this phone")
            phone.go("Phone")
            phone.says("Pair with the rack")
            phone.type("code", served.next_code())
            phone.tap("Pair")
        phone.says("Everything is in the rack")
    finally:
        phone.driver.quit()
        assert served.stop() == 0
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert [r.name for r in rack.boards()] == ["B1"]
