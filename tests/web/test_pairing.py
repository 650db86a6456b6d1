"""Letting a phone in: a code works once, guessing shuts out the guesser alone, and who comes late is told of the next code."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from yieldopt.web import phones as module
from yieldopt.web.phones import CODE_SECONDS, PAUSE_SECONDS, WRONG_IN_ALL, WRONG_TRIES, Paused, Phones, RanOut

Page = Callable[..., TestClient]
WRONG = "AAAAAAAAAA"


class Terminal:
    """Phones with a clock that is set by hand, and the codes that were printed."""

    def __init__(self, folder: Path) -> None:
        self.now = 1000.0
        self.printed: list[str] = []
        self.phones = Phones(folder / "phones.json", lambda: self.now, self.printed.append)

    @property
    def code(self) -> str:
        """What stands in the terminal."""
        return self.printed[-1]


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    made = Terminal(tmp_path)
    made.phones.code()
    return made


def test_a_code_works_once(terminal: Terminal) -> None:
    code = terminal.code
    assert terminal.phones.pair(code, "a")
    assert terminal.phones.pair(code, "b") is None


def test_a_guesser_shuts_out_itself_and_not_the_owner(terminal: Terminal) -> None:
    for _ in range(WRONG_TRIES):
        assert terminal.phones.pair(WRONG, "x", "10.0.0.66") is None
    with pytest.raises(Paused) as paused:
        terminal.phones.pair(terminal.code, "x", "10.0.0.66")
    assert 0 < paused.value.seconds <= PAUSE_SECONDS
    assert terminal.phones.pair(terminal.code, "owner", "10.0.0.7")


def test_who_mistyped_may_try_again_after_a_pause_and_the_next_pause_is_longer(terminal: Terminal) -> None:
    for _ in range(WRONG_TRIES):
        terminal.phones.pair(WRONG, "x", "10.0.0.66")
    terminal.now += PAUSE_SECONDS
    for _ in range(WRONG_TRIES):
        assert terminal.phones.pair(WRONG, "x", "10.0.0.66") is None
    terminal.now += PAUSE_SECONDS
    with pytest.raises(Paused):
        terminal.phones.pair(terminal.code, "x", "10.0.0.66")
    terminal.now += PAUSE_SECONDS
    assert terminal.phones.pair(terminal.code, "x", "10.0.0.66")


def test_after_a_quarter_of_an_hour_a_new_code_is_printed_when_somebody_comes(terminal: Terminal) -> None:
    old = terminal.code
    terminal.now += CODE_SECONDS + 1
    with pytest.raises(RanOut, match="new one stands in the terminal"):
        terminal.phones.pair(old, "owner")
    assert terminal.code != old
    assert len(terminal.printed) == 2
    assert terminal.phones.pair(terminal.code, "owner")


def test_many_guesses_from_everywhere_make_a_new_code_that_is_printed(terminal: Terminal) -> None:
    old, told = terminal.code, 0
    for n in range(WRONG_IN_ALL):
        try:
            assert terminal.phones.pair(WRONG, "x", f"10.0.{n // 250}.{n % 250}") is None
        except RanOut:
            told += 1
    assert told == 1
    assert terminal.code != old
    assert terminal.phones.pair(terminal.code, "owner", "10.9.9.9")


@pytest.mark.parametrize("others", [9, 10])
def test_of_too_many_addresses_the_one_heard_of_longest_ago_is_forgotten(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch, others: int
) -> None:
    """So that they can't fill the memory; one that is still known has its tries counted on."""
    monkeypatch.setattr(module, "MOST_ADDRESSES", 10)
    for _ in range(WRONG_TRIES - 1):
        assert terminal.phones.pair(WRONG, "x", "first") is None
    for n in range(others):
        terminal.phones.pair(WRONG, "x", str(n))
    assert terminal.phones.pair(WRONG, "x", "first") is None
    if others < 10:
        with pytest.raises(Paused):
            terminal.phones.pair(WRONG, "x", "first")
    else:
        assert terminal.phones.pair(WRONG, "x", "first") is None


def test_a_full_disk_does_not_use_up_the_code(terminal: Terminal, page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    client = page(phones=terminal.phones)
    with monkeypatch.context() as patched:
        patched.setattr(module, "write_atomically", full)
        answer = client.post("/api/pair", json={"code": terminal.code, "name": "owner"})
    assert answer.status_code == 507
    assert "no room left on the disk" in answer.json()["error"]
    assert client.post("/api/pair", json={"code": terminal.code, "name": "owner"}).status_code == 200


def test_statuses_say_what_is_the_matter(terminal: Terminal, page: Page) -> None:
    client = page(phones=terminal.phones)
    answers = [client.post("/api/pair", json={"code": WRONG, "name": "x"}) for _ in range(WRONG_TRIES + 1)]
    assert [a.status_code for a in answers] == [403] * WRONG_TRIES + [429]
    assert 0 < answers[-1].json()["wait"] <= PAUSE_SECONDS
    terminal.now += CODE_SECONDS + 1
    old = terminal.code
    assert client.post("/api/pair", json={"code": old, "name": "x"}).status_code == 410


@pytest.mark.parametrize("text", ["{", "[]", '{"format": "yieldopt-phones/1", "phones": [1]}', '{"phones": []}', "[" * 9000])
def test_a_damaged_list_of_phones_lets_nobody_in_and_says_so(terminal: Terminal, page: Page, text: str) -> None:
    client = page(phones=terminal.phones)
    assert client.post("/api/pair", json={"code": terminal.code, "name": "x"}).status_code == 200
    terminal.phones.path.write_text(text)
    answer = client.get("/api/rack")
    assert answer.status_code == 503
    assert "phones.json is damaged" in answer.json()["error"]
    assert terminal.phones.path.read_text() == text
