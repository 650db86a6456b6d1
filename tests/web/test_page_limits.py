"""What one machine on the network may take: connections, handshakes, memory for photos; and what it can't take from others."""

from __future__ import annotations

import io
import socket
import ssl
import struct
import threading
import time
import uuid
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from serving import Server
from starlette.testclient import TestClient

from yieldopt.rack.door.facade import Rack
from yieldopt.web import pictures
from yieldopt.web.addresses import neighbour
from yieldopt.web.connections import MOST_OF_ONE, Held
from yieldopt.web.placeless import without_writing

Page = Callable[..., TestClient]
OFFENDER, OWNER = "127.0.0.66", "127.0.0.7"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    made = Server(tmp_path / "shop.rack")
    yield made
    assert made.stop()[-1] == "stopped"


def connect(server: Server, address: str) -> socket.socket:
    host, port = server.url.split("://")[1].rstrip("/").split(":")
    return socket.create_connection((host, int(port)), timeout=20, source_address=(address, 0))


def hung_up(connection: socket.socket) -> bool:
    """Whether the other end has closed it by now."""
    connection.settimeout(0.2)
    try:
        return connection.recv(1) == b""
    except TimeoutError:
        return False
    except ConnectionResetError:
        return True


def descriptors(server: Server) -> int:
    return len(list(Path(f"/proc/{server.process.pid}/fd").iterdir()))


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="looks at what the system knows of the process")
def test_idle_connections_of_one_machine_shut_out_nobody_else(server: Server) -> None:
    before = descriptors(server)
    idle = [connect(server, OFFENDER) for _ in range(205)]
    with server.client(OWNER) as owner:
        assert owner.get("/api/who").status_code == 200
    time.sleep(0.5)
    assert descriptors(server) - before <= MOST_OF_ONE + 5
    assert sum(map(hung_up, idle[-100:])) >= 100 - MOST_OF_ONE
    for connection in idle:
        connection.close()
    # Once they are gone the machine may come again.
    deadline = time.monotonic() + 20
    while time.monotonic() < deadline:
        try:
            with server.client(OFFENDER) as client:
                assert client.get("/api/who").status_code == 200
                return
        except OSError:
            time.sleep(0.2)
        except Exception:
            time.sleep(0.2)
    pytest.fail("it stayed shut out")


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="looks at what the system knows of the process")
def test_handshakes_that_are_never_finished_hold_few_descriptors(tmp_path: Path) -> None:
    server = Server(tmp_path / "shop.rack", "--https")
    try:
        before = descriptors(server)
        half = [connect(server, OFFENDER) for _ in range(300)]
        time.sleep(0.5)
        assert descriptors(server) - before <= MOST_OF_ONE + 5
        trusting = ssl.create_default_context(cafile=str(tmp_path / "shop.rack.certificate/authority.crt"))
        with connect(server, OWNER) as plain, trusting.wrap_socket(plain, server_hostname="localhost") as owner:
            owner.sendall(b"GET /api/who HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
            assert owner.recv(100).startswith(b"HTTP/1.1 200")
        for connection in half:
            connection.close()
    finally:
        server.stop()


def test_an_unfinished_handshake_is_hung_up_on(tmp_path: Path) -> None:
    """Ten seconds, where the library waits sixty."""
    server = Server(tmp_path / "shop.rack", "--https")
    try:
        with connect(server, OFFENDER) as half:
            half.settimeout(40)
            assert half.recv(1) == b""
    finally:
        server.stop()


def test_each_address_has_its_own_count_and_gets_it_back() -> None:
    held = Held(most_of_one=2, most=3)
    assert [held.enter("a"), held.enter("a"), held.enter("a")] == [True, True, False]
    assert [held.enter("b"), held.enter("c")] == [True, False]
    held.leave("a")
    assert held.enter("c")
    for address in ("a", "b", "c"):
        held.leave(address)
    assert [held.enter("a"), held.enter("a"), held.enter("b"), held.enter("c")] == [True, True, True, False]


@pytest.mark.parametrize(
    ("a", "b", "same"),
    [("::ffff:10.0.0.1", "10.0.0.1", True), ("fe80::1%eth0", "fe80::1", True), ("fe80::1", "fe80::2", False), ("?", "?", True)],
)
def test_one_machine_is_one_however_its_address_is_written(a: str, b: str, same: bool) -> None:
    assert (neighbour(a) == neighbour(b)) == same


def test_photos_at_once_are_unpacked_one_at_a_time(rack: Rack, page: Page, change: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from yieldopt.rack.books import photos

    real, inside, most = photos.look_at, [0], [0]

    def slow(*args: Any) -> Any:
        inside[0] += 1
        most[0] = max(most[0], inside[0])
        time.sleep(0.05)
        try:
            return real(*args)
        finally:
            inside[0] -= 1

    monkeypatch.setattr(photos, "look_at", slow)
    client, i = page(), str(uuid.uuid4())
    client.put(f"/api/boards/{i}", json=change())
    answers: list[int] = []

    def send(n: int) -> None:
        content = jpeg(Image.new("RGB", (40, 30), (n, n, n)))
        answers.append(client.post(f"/api/boards/{i}/photos", params={"name": f"{n}.jpg"}, content=content).status_code)

    threads = [threading.Thread(target=send, args=(n,)) for n in range(6)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert answers == [200] * 6
    assert most == [1]


def flat_png(width: int, height: int) -> bytes:
    """Some kilobytes that would unpack to so many pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    packer = zlib.compressobj(9)
    rows = b"".join(packer.compress(b"\0" * (3 * width + 1)) for _ in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.parametrize("path", ["/api/boards/{}/photos", "/api/bench/0/photos", "/api/labels/photos"])
def test_a_picture_of_too_many_pixels_is_never_unpacked(page: Page, change: Any, path: str) -> None:
    client, i = page(), str(uuid.uuid4())
    client.put(f"/api/boards/{i}", json=change())
    width = 1000
    content = flat_png(width, pictures.MOST_PIXELS // width + 1)
    answer = client.post(path.format(i), content=content)
    assert answer.status_code == 400
    assert "pixels" in answer.json()["error"]


def jpeg(image: Image.Image, **options: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", **options)
    return out.getvalue()


def placed(orientation: int) -> Image.Exif:
    """What a camera writes: where, when, which camera, and how it was held."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "a maker of cameras"
    exif[0x0132] = "2026:11:30 10:00:00"
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2], gps[3], gps[4] = "N", (48.0, 8.0, 14.0), "E", (11.0, 34.0, 31.0)
    return exif


@pytest.mark.parametrize("orientation", [1, 6])
@pytest.mark.parametrize("kind", ["JPEG", "progressive", "PNG", "WEBP"])
def test_place_time_and_device_are_taken_out_and_the_picture_stays(
    rack: Rack, page: Page, change: Any, kind: str, orientation: int
) -> None:
    image = Image.effect_mandelbrot((64, 48), (-2, -1.5, 1, 1.5), 50).convert("RGB")
    out = io.BytesIO()
    options: dict[str, Any] = {"progressive": True, "comment": b"at 48.137 N"} if kind == "progressive" else {}
    image.save(out, "JPEG" if kind == "progressive" else kind, exif=placed(orientation), **options)
    # Behind the picture some cameras put another one, with its own writing.
    content = out.getvalue() + (b"GPS behind the end" if kind in ("JPEG", "progressive") else b"")
    assert Image.open(io.BytesIO(content)).getexif().get_ifd(0x8825)
    client, i = page(), str(uuid.uuid4())
    client.put(f"/api/boards/{i}", json=change())
    name = client.post(f"/api/boards/{i}/photos", content=content).json()["photos"][0]["digest"]
    kept = client.get(f"/api/photos/{name}").content
    with Image.open(io.BytesIO(content)) as before, Image.open(io.BytesIO(kept)) as after:
        assert after.tobytes() == before.tobytes()
        assert dict(after.getexif()) == ({} if orientation == 1 else {0x0112: orientation})
        assert not after.getexif().get_ifd(0x8825)
    for word in (b"GPS", b"maker of cameras", b"2026:11:30", b"48.137"):
        assert word not in kept
    # What is bare already stays as it is.
    assert without_writing(kept, "JPEG" if kind == "progressive" else kind) == kept
