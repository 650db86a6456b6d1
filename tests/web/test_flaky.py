"""A connection that is cut again and again, before and after the rack has stored: nothing is lost, nothing doubled."""

from __future__ import annotations

import itertools
import random
import socket
import threading
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlsplit

import pytest

pytest.importorskip("selenium")

from phone import BROWSER, Phone, Served

from yieldopt.rack.door.facade import Rack

pytestmark = BROWSER


class Flaky:
    """Stands between phone and rack. While `bad`, connections are cut: before the request has gone on, after a
    part of it, when the rack has stored but before its answer comes back, or in the midst of the answer."""

    def __init__(self, port: int, seed: int) -> None:
        self.port = port
        # In a drawn order, but each of them comes up within eight requests.
        self.fates = itertools.cycle(random.Random(seed).sample([0, 1, 2, 2, 3, 4, 4, 4], 8))
        self.bad, self.cuts, self.whole = False, [0, 0, 0, 0], 0
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{self.listening.getsockname()[1]}/"
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        while True:
            try:
                client, _ = self.listening.accept()
            except OSError:
                return
            threading.Thread(target=self._carry, args=(client,), daemon=True).start()

    def _carry(self, client: socket.socket) -> None:
        with client, suppress(OSError):
            client.settimeout(20)
            request = self._message(client)
            if not request:
                return
            # One request a connection, so that each meets its own fate.
            head, _, body = request.partition(b"\r\n\r\n")
            kept = [h for h in head.split(b"\r\n") if not h.lower().startswith(b"connection:")]
            request = b"\r\n".join([*kept, b"Connection: close"]) + b"\r\n\r\n" + body
            fate = next(self.fates) if self.bad and b" /api/" in kept[0] else 4
            if fate < 4:
                self.cuts[fate] += 1
            else:
                self.whole += 1
            if fate == 0:
                return
            with socket.create_connection(("127.0.0.1", self.port), timeout=20) as server:
                if fate == 1:
                    server.sendall(request[: len(request) // 2])
                    return
                server.sendall(request)
                answer = b""
                while got := server.recv(65536):
                    answer += got
                if fate > 2:
                    client.sendall(answer if fate == 4 else answer[: len(answer) // 2])

    def _message(self, client: socket.socket) -> bytes:
        data = b""
        while b"\r\n\r\n" not in data:
            got = client.recv(65536)
            if not got:
                return b""
            data += got
        head, _, body = data.partition(b"\r\n\r\n")
        lengths = [int(h.split(b":")[1]) for h in head.split(b"\r\n") if h.lower().startswith(b"content-length:")]
        while len(body) < (lengths or [0])[0]:
            got = client.recv(65536)
            if not got:
                return b""
            body, data = body + got, data + got
        return data

    def close(self) -> None:
        self.listening.close()


@pytest.fixture
def flaky(tmp_path: Path) -> Iterator[Flaky]:
    served = Served(tmp_path / "shop.rack", "--port", "0")
    between = Flaky(urlsplit(served.url).port or 0, seed=7)
    yield between
    between.close()
    assert served.stop() == 0


# The page's own way of keeping a board, called as often as a finger never would.
SAVE = """
const [from, to, width, done] = arguments;
(async () => {
  const {saveBoard} = await import('/static/state/saving.js'), {all} = await import('/static/state/store.js');
  const {uuid} = await import('/static/state/identity.js');
  const known = await all('boards');
  for (let n = from; n < to; n++) {
    const old = known.find(b => b.cells.board === `F${n}`);
    const cells = {board: `F${n}`, species: 'ash', quarters: '4/4', length: '72', width: String(width)};
    await saveBoard({...(old ?? {id: uuid(), defects: [], edges: []}), cells});
  }
})().then(() => done(''), e => done(String(e)));
"""
TRY = "import('/static/state/sync.js').then(m => m.sync()).then(() => arguments[0](), () => arguments[0]())"


def test_nothing_is_lost_or_doubled_on_a_bad_connection(tmp_path: Path, flaky: Flaky) -> None:
    phones = [Phone(tmp_path / "one"), Phone(tmp_path / "two")]
    try:
        for phone in phones:
            phone.driver.get(flaky.url)
            phone.says("Everything is in the rack")
        flaky.bad = True
        for phone, first in zip(phones, (0, 20), strict=True):
            assert phone.driver.execute_async_script(SAVE, first, first + 12, 6) == ""
        for _ in range(3):
            for phone in phones:
                phone.driver.execute_async_script(TRY)
        # Corrections while the first versions may or may not have arrived, and the phone's system ends one page.
        for phone, first in zip(phones, (0, 20), strict=True):
            assert phone.driver.execute_async_script(SAVE, first, first + 6, 7) == ""
        phones[0].kill()
        phones[0] = Phone(tmp_path / "one")
        phones[0].driver.get(flaky.url)
        for _ in range(6):
            for phone in phones:
                phone.driver.execute_async_script(TRY)
        flaky.bad = False
        for phone in phones:
            phone.js("dispatchEvent(new Event('online'))")
            phone.says("Everything is in the rack")
    finally:
        for phone in phones:
            phone.driver.quit()
    expected = {f"F{n}": 7 if n % 20 < 6 else 6 for n in (*range(12), *range(20, 32))}
    with Rack.open(tmp_path / "shop.rack", read_only=True) as rack:
        assert {r.name: int(r.board.width) for r in rack.boards()} == expected
        assert len(rack.boards()) == len(expected), "none twice"
        per_board = [sum(c.what == "log" for c in rack.history(r.name)) for r in rack.boards()]
        assert set(per_board) == {1}
        assert rack.check() == []
    print(f"connections cut: {flaky.cuts} (before, within the request, answer lost, within the answer); whole: {flaky.whole}")
    assert min(flaky.cuts) >= 1
