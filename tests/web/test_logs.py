"""What a run of the page prints and keeps: no token, and no code but the invitation to the person at the terminal."""

from __future__ import annotations

import socket
import uuid
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

pytest.importorskip("selenium")

from phone import Served

from yieldopt.web.guard import COOKIE

MARK = {"x-yieldopt": "1"}


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    page = Served(tmp_path / "shop.rack", "--port", "0", "--pair")
    yield page
    if page.process.poll() is None:
        page.stop()


def test_logs_and_files_hold_no_tokens(tmp_path: Path, served: Served) -> None:
    tokens = []
    with httpx.Client(base_url=served.url, headers=MARK) as client:
        code = served.code
        assert client.post("/api/pair", json={"code": "WRONGWRONG", "name": "guess"}).status_code == 403
        assert client.post("/api/pair", json={"code": code, "name": "one"}).status_code == 200
        tokens.append(client.cookies[COOKIE])
        served.next_code()
        board = {"board": "W1", "species": "walnut", "quarters": "4/4", "length": "96", "width": "7"}
        assert client.put(f"/api/boards/{uuid.uuid4()}", json={"key": str(uuid.uuid4()), "cells": board}).status_code == 200
        # Whatever goes wrong while the token is at hand: no answer and no line of the log repeats it.
        answers = [
            client.get(f"/api/rack?token={tokens[0]}"),
            client.get(f"/api/nothing/{tokens[0]}"),
            client.put(f"/api/boards/{tokens[0]}", json={"key": tokens[0]}),
            client.post("/api/tally", json={"boards": [tokens[0]]}),
            client.post("/api/pair", json={"code": tokens[0], "name": tokens[0][:5], tokens[0]: 1}),
            client.post("/api/tally", content=tokens[0].encode(), headers={"content-type": "application/json"}),
            client.get("/api/rack", headers={"host": "evil.example"}),
        ]
        assert all(tokens[0] not in a.text for a in answers[1:4]), [a.text for a in answers]
        client.cookies.set(COOKIE, "x" + tokens[0])
        assert client.get("/api/who").json()["paired"] in (True, False)
    host, port = served.url.removeprefix("http://").rstrip("/").split(":")
    with socket.create_connection((host, int(port)), timeout=20) as raw:  # not even HTTP
        raw.sendall(f"GET /\x00 {tokens[0]}\r\nCookie: {COOKIE}={tokens[0]}\r\n\r\n".encode())
        raw.recv(4096)
    assert served.stop() == 0
    printed = "\n".join(served.lines)
    assert "Paired: one" in printed
    for token in tokens:
        assert token not in printed
        for file in tmp_path.rglob("*"):
            assert not file.is_file() or token.encode() not in file.read_bytes(), file
    assert "WRONGWRONG" not in printed
    assert printed.count(code) == 1, "the invitation alone"
