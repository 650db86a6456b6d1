"""What goes wrong round the desk: the server killed in the middle of saving, a disk that can't be written, two windows."""

from __future__ import annotations

import errno
import json
import shutil
import threading
import time
import urllib.request
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from yieldopt.demo import inventory
from yieldopt.desk.app import make_desk
from yieldopt.desk.key import Keys
from yieldopt.desk.setup import Desk
from yieldopt.desk.tables import load

MARK = {"x-yieldopt": "1"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(inventory() / "tool-rack", tmp_path / "rack"))


def opened(folder: Path) -> tuple[Desk, TestClient]:
    desk = Desk(Keys())
    desk.open(folder)
    client = TestClient(make_desk(desk), base_url="http://localhost", headers=MARK, raise_server_exceptions=False)
    client.post("/api/pair", json={"key": desk.keys.key})
    return desk, client


def asked(url: str, cookie: str, body: Any, method: str = "PUT") -> Any:
    headers = {**MARK, "content-type": "application/json", "cookie": cookie}
    request = urllib.request.Request(url, json.dumps(body).encode(), headers, method=method)
    with urllib.request.urlopen(request, timeout=60) as answer:
        return answer.headers.get("set-cookie", ""), json.loads(answer.read())


def test_killed_while_it_saves_the_tables_are_of_one_save(folder: Path) -> None:
    """Killed outright at some moment of many saves of two tables: they are both of the same one, whole."""
    pytest.importorskip("selenium")
    from window import Served

    served = Served(folder, folder.parent / "state")
    at, _, key = served.url.partition("#key=")
    cookie = asked(f"{at}api/pair", "", {"key": key}, "POST")[0].split(";")[0]
    digests = {stem: load(folder)[stem].digest for stem in ("pins", "defects")}
    saved = 0

    def save() -> None:
        nonlocal saved
        while True:
            pins = {"columns": ["piece", "board", "x", "y", "note"], "rows": [["side#1", "E1", "50", "10", str(saved)]]}
            flaws = {"columns": ["board", "kind", "face", "x", "y", "length", "width", "note"]}
            flaws["rows"] = [["E1", "knot", "A", "9", "9", "9", "9", str(saved)]] * 200  # type: ignore[assignment]
            body = {"pins": {**pins, "digest": digests["pins"]}, "defects": {**flaws, "digest": digests["defects"]}}
            try:
                _, said = asked(f"{at}api/tables", cookie, {"tables": body})
            except OSError:
                return
            digests.update({stem: said[stem]["digest"] for stem in digests})
            saved += 1

    thread = threading.Thread(target=save)
    thread.start()
    until = time.monotonic() + 60
    while saved < 3 and time.monotonic() < until:
        time.sleep(0.01)
    served.process.kill()
    thread.join(60)
    served.process.wait()
    assert saved >= 3
    found = load(folder)
    notes = {row[-1] for stem in ("pins", "defects") for row in found[stem].rows}
    assert len(notes) == 1
    assert notes <= {str(saved - 1), str(saved)}
    assert len(found["defects"].rows) == 200


def test_a_disk_that_may_not_be_written_is_told_and_nothing_is_lost(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    desk, client = opened(folder)
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    parts = client.get("/api/job").json()["tables"]["parts"]

    def refuse(*_: Any, **__: Any) -> Any:
        raise OSError(errno.EROFS, "Read-only file system", str(folder))

    monkeypatch.setattr("yieldopt.ground.files.tempfile.mkstemp", refuse)
    answer = client.put("/api/tables", json={"tables": {"parts": parts}})
    assert answer.status_code == 503
    assert "may not write there" in answer.json()["error"]
    assert "nothing was stored" in answer.json()["error"]
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before
    # What is typed can still be looked over.
    assert client.post("/api/check", json={"tables": {"parts": parts}}).json()["mistakes"] == []
    desk.close()


def test_a_window_on_another_job_writes_into_none(folder: Path, tmp_path: Path) -> None:
    """Another job is opened in a second window: what the first has typed is refused, not written into that job."""
    desk, client = opened(folder)
    first = str(client.get("/api/job").json()["job"])
    parts = client.get("/api/job").json()["tables"]["parts"]
    other = Path(shutil.copytree(folder, tmp_path / "other"))
    desk.open(other)
    before = {p.name: p.read_bytes() for p in other.iterdir()}
    parts["rows"][0][1] = "9"
    answer = client.put("/api/tables", json={"tables": {"parts": parts}}, headers={"x-yieldopt-job": first})
    assert (answer.status_code, "another window" in answer.json()["error"]) == (409, True)
    assert {p.name: p.read_bytes() for p in other.iterdir()} == before
    desk.close()
