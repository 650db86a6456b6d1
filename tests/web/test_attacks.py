"""What somebody on the shop's network, or a page open in another tab, may try. Cases after OWASP's Web Security Testing Guide."""

from __future__ import annotations

import asyncio
import io
import shutil
import socket
import struct
import threading
import time
import uuid
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send

from yieldopt.demo import inventory
from yieldopt.desk.app import make_desk
from yieldopt.desk.key import Keys
from yieldopt.desk.setup import Desk
from yieldopt.desk.shelf import Shelf
from yieldopt.rack.door.facade import Rack
from yieldopt.web.guard import COOKIE
from yieldopt.web.heads import Heads
from yieldopt.web.phones import Phones

Page = Callable[..., TestClient]


@dataclass(frozen=True)
class Door:
    """One of the two servers: a client that is let in and one that isn't, addresses that show or change something, and whether
    nothing was changed so far."""

    known: TestClient
    stranger: TestClient
    private: tuple[str, ...]
    # The address of a write, and what may be written there.
    write: str
    body: dict[str, Any]
    photos: str
    untouched: Callable[[], bool]


@pytest.fixture
def phone_door(rack: Rack, page: Page, phones: Phones, change: Callable[..., Any]) -> Door:
    board, seen = str(uuid.uuid4()), str(uuid.uuid4())
    known = page()
    known.put(f"/api/boards/{seen}", json=change("seen"))
    private = ("/api/rack", "/api/jobs", "/api/bench", "/api/bench/0", "/api/openapi.json", f"/api/photos/{'0' * 64}")

    def untouched() -> bool:
        return [b.name for b in rack.boards()] == ["seen"] and not rack.board(seen).photos

    return Door(known, page(phones=phones), private, f"/api/boards/{board}", change(), f"/api/boards/{seen}/photos", untouched)


@pytest.fixture
def desk_door(tmp_path: Path) -> Iterator[Door]:
    folder = Path(shutil.copytree(inventory() / "tool-rack", tmp_path / "job"))
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    desk = Desk(Keys(), Shelf(None, tmp_path))
    desk.open(folder)
    known, stranger = (
        TestClient(make_desk(desk), base_url="http://localhost", headers={"x-yieldopt": "1"}, raise_server_exceptions=False)
        for _ in range(2)
    )
    known.post("/api/pair", json={"key": desk.keys.key})
    body = {"tables": {"pins": {"columns": ["piece", "board", "x", "y"], "rows": [["side#1", "E1", "50", "10"]]}}}
    rooms = "job plan run trial plans shelf photos/a.jpg packet.pdf buy buy/ways.svg straight sets sections"
    private = tuple(f"/api/{room}" for room in rooms.split())

    def untouched() -> bool:
        return {p.name: p.read_bytes() for p in folder.iterdir()} == before

    yield Door(known, stranger, private, "/api/tables", body, "/api/photos", untouched)
    desk.close()


@pytest.fixture(params=["phone_door", "desk_door"])
def door(request: pytest.FixtureRequest) -> Door:
    """The same is tried on both."""
    found: Door = request.getfixturevalue(request.param)
    return found


@pytest.fixture
def phones(tmp_path: Path) -> Phones:
    return Phones(tmp_path / "phones.json")


def test_a_stranger_sees_nothing_and_writes_nothing(door: Door) -> None:
    for token in (None, "made up"):
        if token:
            door.stranger.cookies.set(COOKIE, token)
        assert {door.stranger.get(path).status_code for path in door.private} == {401}
        assert door.stranger.put(door.write, json=door.body).status_code == 401
        assert door.stranger.post(door.photos, content=picture()).status_code == 401
    assert door.untouched()


def test_pairing_gives_a_token_that_can_be_revoked(page: Page, phones: Phones) -> None:
    client = page(phones=phones)
    answer = client.post("/api/pair", json={"code": phones.code().lower(), "name": "Ida's"})
    assert answer.status_code == 200
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert client.get("/api/rack").status_code == 200
    assert client.cookies[COOKIE] not in phones.path.read_text()
    assert phones.path.stat().st_mode & 0o077 == 0
    assert phones.revoke("Ida's")
    assert client.get("/api/rack").status_code == 401


@pytest.mark.parametrize(
    "headers",
    [{"x-yieldopt": ""}, {"origin": "http://evil.example"}, {"origin": "null"}, {"origin": "http://localhost:1"}],
    ids=str,
)
def test_another_page_cannot_write(door: Door, headers: dict[str, str]) -> None:
    answer = door.known.put(door.write, json=door.body, headers=headers)
    assert answer.status_code == 403
    assert door.untouched()


def test_no_cross_origin_question_is_granted(door: Door) -> None:
    asked = {"origin": "http://evil.example", "access-control-request-method": "PUT"}
    answer = door.known.options(door.private[0], headers=asked)
    assert answer.status_code == 405
    assert "access-control-allow-origin" not in answer.headers


@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example", "", "127.0.0.1.evil.example:8765"])
def test_a_foreign_name_pointed_at_us_is_turned_away(door: Door, host: str) -> None:
    assert door.known.get(door.private[0], headers={"host": host}).status_code == 421


OUTSIDE = [
    *("/static/../app.py", "/static/..%2fapp.py", "/static/%2e%2e/app.py", "/static/....//app.py", "/static//etc/passwd"),
    *("/static/%00", "/api/bench/0/sheets/..%2f..%2fplan/0.svg", "/api/photos/..%2f..%2fshop.rack", "/api/bench/-1"),
    *("/api/photos/..%2fjob.toml", "/api/photos/%2e%2e%2fparts.csv", "/api/buy/..%2fjob.toml"),
]


@pytest.mark.parametrize("path", OUTSIDE)
def test_no_path_leads_outside(door: Door, path: str) -> None:
    answer = door.known.get(path)
    assert answer.status_code in (400, 404, 422)
    assert b"units" not in answer.content
    assert b"import" not in answer.content


def test_markup_in_a_name_stays_text(rack: Rack, page: Page, change: Callable[..., Any]) -> None:
    answer = page().put(f"/api/boards/{uuid.uuid4()}", json=change("<img src=x onerror=alert(1)>"))
    assert answer.headers["content-type"].startswith("application/json")
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_every_answer_bars_foreign_script(door: Door) -> None:
    for path in ("/", "/sw.js", "/static/main.js", *door.private, "/api/nothing", "/nothing"):
        policy = door.known.get(path).headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self';" in policy
        assert "unsafe" not in policy


def test_oversized_bodies_are_refused_before_they_are_read(door: Door) -> None:
    client, path = door.known, door.write
    assert client.put(path, content=b"x" * (3 * 1024 * 1024)).status_code == 413
    assert client.put(path, content=iter([b"x" * 1024 * 1024] * 3)).status_code == 413
    assert client.put(path, content=b"[" * 100_000, headers={"content-type": "application/json"}).status_code in (400, 422)
    assert client.put(path, content=b"{}", headers={"content-length": "-1"}).status_code in (400, 422)
    assert door.untouched()


def bomb() -> bytes:
    """A PNG of a few kilobytes that would unpack to 50,000 by 50,000 pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 50_000, 50_000, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 1_000_000)) + chunk(b"IEND", b"")


@pytest.mark.parametrize("content", [bomb(), b"<svg onload='x'/>", b"GIF89a", b"", b"\xff\xd8\xff\xe0 cut off"], ids=range(5))
def test_a_bomb_or_no_picture_is_refused(door: Door, content: bytes) -> None:
    assert door.known.post(door.photos, content=content).status_code == 400
    assert door.untouched()


@pytest.mark.parametrize("name", ["../x.jpg", "a/b.jpg", ".hidden", "a\\b", "a;b", "a\0b", "\u202egpj.exe", "x" * 300, ""])
def test_a_photo_of_a_bad_name_is_refused(door: Door, name: str) -> None:
    assert door.known.post(door.photos, params={"name": name}, content=picture()).status_code == 400
    assert door.untouched()


def picture() -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (40, 30), "tan").save(out, "JPEG")
    return out.getvalue()


def test_a_photo_sent_twice_is_one_photo(rack: Rack, page: Page, change: Callable[..., Any]) -> None:
    content = picture()
    client, i = page(), str(uuid.uuid4())
    version = client.put(f"/api/boards/{i}", json=change()).json()["version"]
    for _ in range(2):
        answer = client.post(f"/api/boards/{i}/photos", content=content)
        assert answer.json()["version"] == version, "a photo alone is no other version"
    assert len(rack.board(i).photos) == 1
    assert client.get(f"/api/photos/{rack.board(i).photos[0].digest}").content == content


@pytest.fixture
def address(rack: Rack) -> Iterator[tuple[str, int]]:
    """The page behind a real socket, with little patience."""
    import uvicorn

    from yieldopt.web.app import Setup, make_app
    from yieldopt.web.connections import Held, Listening

    app = make_app(Setup(rack))
    app.body_seconds = 0.5
    listening = Listening(socket.AF_INET, socket.SOCK_STREAM, Held(), Heads(1.0))
    listening.bind(("127.0.0.1", 0))
    listening.listen()
    server = uvicorn.Server(uvicorn.Config(listening.heads.noted(app), http="h11", log_level="error"))
    thread = threading.Thread(target=lambda: asyncio.run(listening.serve(server)), daemon=True)
    thread.start()
    yield listening.getsockname()
    server.should_exit = True
    thread.join(20)
    assert not thread.is_alive()


HEAD = f"PUT /api/boards/{uuid.uuid4()} HTTP/1.1\r\nHost: localhost\r\nX-Yieldopt: 1\r\n"


def test_half_a_body_and_then_nothing_holds_no_place(address: tuple[str, int]) -> None:
    with socket.create_connection(address, timeout=20) as client:
        client.sendall(f"{HEAD}Content-Type: application/json\r\nContent-Length: 100\r\n\r\n{{".encode())
        assert b"408" in client.recv(4096).split(b"\r\n")[0]


@pytest.mark.parametrize("said", ["", "GET", HEAD, "GET /api/who HTTP/1.1\r\nHost: localhost\r\n\r\nGET"], ids=range(4))
def test_a_head_that_never_ends_holds_no_place(address: tuple[str, int], said: str) -> None:
    """Nothing at all, a word, half a head, and half a second head behind a whole first one."""
    with socket.create_connection(address, timeout=20) as client:
        client.sendall(said.encode())
        while client.recv(4096):
            pass


def test_a_head_a_letter_at_a_time_holds_no_place(address: tuple[str, int]) -> None:
    with socket.create_connection(address, timeout=20) as client:
        client.sendall(HEAD.encode() + b"X-Long: ")
        hung_up = False
        for _ in range(200):
            time.sleep(0.1)
            try:
                client.sendall(b"x")
            except OSError:  # reset or broken pipe, as the system likes
                hung_up = True
                break
        assert hung_up


def test_an_answer_that_takes_long_is_waited_for_and_the_next_head_has_its_own_time() -> None:
    """By a clock of the test's own: opened, asked, answered for an hour, asked no more."""
    now = [0.0]
    heads = Heads(20.0, lambda: now[0])
    here, there = socket.socketpair()
    steps: list[str] = []

    def state(when: str) -> None:
        heads.hang_up()
        there.setblocking(False)
        try:
            steps.append(f"{when}: {'closed' if there.recv(1) == b'' else 'spoken to'}")
        except BlockingIOError:
            steps.append(f"{when}: open")

    async def slow(scope: Scope, receive: Receive, send: Send) -> None:
        now[0] += 3600
        state("an hour of answering")

    heads.opened(("10.0.0.9", 5), here)
    now[0] += 19
    state("19 s without a head")
    asyncio.run(heads.noted(slow)({"type": "http", "client": ("10.0.0.9", 5)}, None, None))  # type: ignore[arg-type]
    now[0] += 19
    state("19 s after the answer")
    heads.closed(("10.0.0.9", 5), there)
    now[0] += 2
    state("21 s after the answer")
    assert steps == [
        "19 s without a head: open",
        "an hour of answering: open",
        "19 s after the answer: open",
        "21 s after the answer: closed",
    ]
    heads.closed(("10.0.0.9", 5), here)
    here.close()
    there.close()
