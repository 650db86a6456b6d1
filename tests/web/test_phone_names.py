"""Two phones that are out of each other's reach: their boards get different names by themselves, and nothing is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone, Served, log, pair

from yieldopt.rack.door.facade import Rack

pytestmark = BROWSER


def test_boards_that_two_phones_log_without_signal_have_names_of_their_own(tmp_path: Path) -> None:
    served = Served(tmp_path / "shop.rack", "--port", "0", "--pair")
    phones: list[Phone] = []
    try:
        for n, name in enumerate(("one", "two")):
            phones.append(Phone(tmp_path / name))
            pair(phones[n], served, served.code if n == 0 else served.next_code(), name)
            phones[n].says("Measure a board")
            phones[n].signal(False)
        for phone, widths in zip(phones, ("67", "58"), strict=True):
            phone.species("ash")
            for width in widths:
                log(phone, "72", width)
            phone.says("2 boards only on this phone")
        for phone in phones:
            phone.signal(True)
            phone.js("dispatchEvent(new Event('online'))")
            phone.says("Everything is in the rack")
            assert "need your answer" not in phone.text()
    finally:
        for phone in phones:
            phone.driver.quit()
        assert served.stop() == 0
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        logged = {r.name: int(r.board.width) for r in rack.boards()}
        assert rack.check() == []
    assert logged == {"B1": 6, "B2": 7, "C1": 5, "C2": 8}
