"""Boards to the phone: what changed, in pages, with the holds; whatever happens in between, phone and rack end up alike."""

from __future__ import annotations

import hashlib
import os
import shutil
import uuid
from collections.abc import Callable
from contextlib import suppress
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from yieldopt.rack.board.errors import RackError
from yieldopt.rack.board.record import RackBoard
from yieldopt.rack.door.facade import Rack, new_id
from yieldopt.web.app import Setup, make_app
from yieldopt.web.phones import Phones
from yieldopt.wood.lumber import Board

Page = Callable[..., TestClient]


def boards(names: list[str]) -> list[RackBoard]:
    return [RackBoard(new_id(), Board(n, "ash", "4/4", F(1), F(96), F(7), F(1), cost=F(20))) for n in names]


class Reader:
    """A phone that keeps what it is told, one page at a time."""

    def __init__(self, client: TestClient, most: int) -> None:
        self.client, self.most, self.cursor, self.tag = client, most, "", ""
        self.boards: dict[str, str] = {}
        self.holds: dict[str, str] = {}
        self.met: set[str] | None = set()
        self.pages = 0

    def page(self) -> bool:
        """Read one; whether there are more."""
        params = {"after": self.cursor, "most": self.most, "holds": self.tag}
        n = self.client.get("/api/rack", params=params).raise_for_status().json()
        self.pages += 1
        if n["anew"] or not self.cursor:
            self.met = set()
        for b in n["boards"]:
            self.boards[b["id"]] = b["version"]
        for i in n["gone"]:
            self.boards.pop(i, None)
        if self.met is not None:
            self.met |= {b["id"] for b in n["boards"]}
            if not n["more"]:
                self.boards = {i: v for i, v in self.boards.items() if i in self.met}
                self.met = None
        if n["holds"] is not None:
            self.holds = {i: h["job"] for h in n["holds"] for i in h["boards"]}
        self.cursor, self.tag = n["cursor"], n["holds_tag"]
        return bool(n["more"])

    def to_the_end(self) -> None:
        for _ in range(1000):
            if not self.page():
                return
        raise AssertionError("it never ends")


def there(client: TestClient) -> dict[str, str]:
    """The rack from the beginning, in one page."""
    return {b["id"]: b["version"] for b in client.get("/api/rack", params={"most": 1000}).json()["boards"]}


STEP = st.sampled_from(["log", "load", "correct", "retire", "undo", "hold", "release", "page", "page"])


@given(most=st.integers(1, 4), steps=st.lists(STEP, max_size=14))
@settings(max_examples=12, deadline=None)
def test_phone_and_rack_end_up_alike(tmp_path_factory: pytest.TempPathFactory, most: int, steps: list[str]) -> None:
    with Rack.open(tmp_path_factory.mktemp("news") / "r.rack", create=True) as rack:
        client = TestClient(make_app(Setup(rack)), base_url="http://localhost")
        reader, count = Reader(client, most), 0
        for step in steps:
            names = [r.name for r in rack.boards()]
            if step == "log":
                count += 1
                rack.log(boards([f"N{count}"])[0])
            elif step == "load":
                count += 3
                rack.log_all(boards([f"N{count - 2}", f"N{count - 1}", f"N{count}"]))
            elif step == "correct" and names:
                rack.correct(names[0], lambda r: _wider(r))
            elif step == "retire" and names:
                rack.release(names=[names[-1]])
                rack.retire([names[-1]], "sold")
            elif step == "undo" and rack.history():
                # Nothing to take back, or a board that is held.
                with suppress(RackError):
                    rack.undo()
            elif step == "hold" and names:
                rack.hold("a chest", names[:1])
            elif step == "release":
                rack.release(job="a chest")
            elif step == "page":
                reader.page()
        reader.to_the_end()
        assert reader.boards == there(client)
        assert reader.holds == {i: h.job for i, h in rack.holds().items()}
        pages = reader.pages
        reader.to_the_end()
        assert reader.pages == pages + 1


def _wider(r: RackBoard) -> RackBoard:
    from dataclasses import replace

    return replace(r, board=replace(r.board, width=r.board.width + 1))


@pytest.mark.parametrize("many", [1500, pytest.param(5000, marks=pytest.mark.long)])
def test_one_change_of_very_many_boards_sends_one_board(rack: Rack, page: Page, many: int) -> None:
    rack.log_all(boards([f"N{n}" for n in range(many)]))
    client = page()
    reader = Reader(client, 1000)
    reader.to_the_end()
    assert len(reader.boards) == many
    rack.correct("N17", _wider)
    news = client.get("/api/rack", params={"after": reader.cursor, "holds": reader.tag}).json()
    assert [b["cells"]["board"] for b in news["boards"]] == ["N17"]
    assert news["holds"] is None
    # Which boards are chosen fits into one question, whichever way it is said, and what they come to is told.
    ids = list(reader.boards)
    for body in ({"boards": ids}, {"all_but": ids[:1]}):
        assert client.post("/api/tally", json=body).json()["boards"] == many - ("all_but" in body)
    assert client.post("/api/tally", json={}).status_code == 422


def test_a_page_comes_compressed_and_says_how_far_it_is(rack: Rack, page: Page) -> None:
    rack.log_all(boards([f"N{n}" for n in range(500)]))
    answer = page().get("/api/rack", params={"most": 200}, headers={"accept-encoding": "gzip"})
    assert answer.headers["content-encoding"] == "gzip"
    assert answer.num_bytes_downloaded < len(answer.content) / 5
    body = answer.json()
    assert (body["total"], body["left"], body["more"]) == (500, 300, True)
    plain = page().get("/api/rack", headers={"accept-encoding": "identity"})
    assert "content-encoding" not in plain.headers


@pytest.mark.parametrize("cursor", ["x", "c:9:0:0123456789abcdef", "b:1:1:0123456789abcdef", "c:1:0:" + "0" * 16, "é" * 20])
def test_a_cursor_of_another_rack_begins_anew(rack: Rack, page: Page, cursor: str) -> None:
    rack.log_all(boards(["N1", "N2"]))
    news = page().get("/api/rack", params={"after": cursor}).json()
    assert (news["anew"], len(news["boards"])) == (True, 2)


def test_a_backup_brought_back_takes_newer_boards_from_the_phone(tmp_path: Path) -> None:
    path = tmp_path / "r.rack"
    with Rack.open(path, create=True) as rack:
        rack.log(boards(["N1"])[0])
        rack.backup(tmp_path / "copy.rack")
        rack.log(boards(["N2"])[0])
        reader = Reader(TestClient(make_app(Setup(rack)), base_url="http://localhost"), 10)
        reader.to_the_end()
        assert len(reader.boards) == 2
    for left in tmp_path.glob("r.rack-*"):
        left.unlink()
    shutil.copy(tmp_path / "copy.rack", path)
    with Rack.open(path) as rack:
        rack.log(boards(["N3"])[0])
        reader.client = TestClient(make_app(Setup(rack)), base_url="http://localhost")
        reader.to_the_end()
        assert reader.boards == there(reader.client)


def test_the_ledger_names_the_phone(rack: Rack, page: Page, change: Any, tmp_path: Path) -> None:
    phones = Phones(tmp_path / "phones.json")
    client = page(phones=phones)
    client.post("/api/pair", json={"code": phones.code(), "name": "Ida's"})
    i = str(uuid.uuid4())
    assert client.put(f"/api/boards/{i}", json=change()).status_code == 200
    assert [c.who for c in rack.history()] == ["phone Ida's"]
    line = client.get(f"/api/boards/{i}").json()["history"][0]
    assert (line["who"], line["what"]) == ("phone Ida's", "log")


def test_a_board_has_a_view_of_its_own_and_its_label_leads_there(rack: Rack, page: Page, change: Any) -> None:
    from yieldopt.rack.show.labels import payload

    client, i = page(), str(uuid.uuid4())
    client.put(f"/api/boards/{i}", json=change("W7"))
    rack.hold("a chest", ["W7"])
    view = client.get(f"/api/boards/{i}").json()
    assert view["hold"]["job"] == "a chest"
    assert client.get(view["picture"]).text.startswith("<")
    record = rack.board("W7")
    for text in (payload(record), payload(record, "http://shop.local:8765/"), "W7"):
        assert client.post("/api/labels", json={"text": text}).json()["board"]["id"] == i
    for text, status in (("", 400), ("job: x\nrevision: 1", 400), ("W8", 404), (f"board {uuid.uuid4()}", 404)):
        assert client.post("/api/labels", json={"text": text}).status_code == status
    rack.release(job="a chest")
    rack.retire(["W7"], "sold")
    gone = client.get(f"/api/boards/{i}").json()
    assert (gone["board"]["state"], gone["hold"]) == ("retired", None)
    assert client.get(f"/api/boards/{uuid.uuid4()}").status_code == 404


def photo(n: int = 0) -> bytes:
    import io

    from PIL import Image

    out = io.BytesIO()
    Image.frombytes("RGB", (80, 60), os.urandom(80 * 60 * 3)).save(out, "JPEG", quality=95)
    return out.getvalue()


def test_a_photo_in_parts_goes_on_where_it_broke_off(rack: Rack, page: Page, change: Any) -> None:
    client, i, content = page(), str(uuid.uuid4()), photo()
    client.put(f"/api/boards/{i}", json=change())
    address = f"/api/boards/{i}/photos/{hashlib.sha256(content).hexdigest()}"

    def send(client: TestClient, at: int, to: int) -> Any:
        return client.put(address, params={"name": "a.jpg", "size": len(content), "at": at}, content=content[at:to])

    assert client.get(address).json()["have"] == 0
    assert send(client, 0, 1000).json() == {"have": 1000, "board": None}
    # The answer was lost and the part is sent again; or a part is left out.
    assert (send(client, 0, 1000).status_code, send(client, 0, 1000).json()["have"]) == (409, 1000)
    assert send(client, 3000, 4000).status_code == 409
    # Another run of the page knows what has come.
    later = page()
    assert later.get(address).json()["have"] == 1000
    done = send(later, 1000, len(content)).json()
    assert [p["name"] for p in done["board"]["photos"]] == ["a.jpg"]
    # The last answer was lost: it is asked what is there, and nothing is doubled.
    assert later.get(address).json()["have"] == len(content)
    assert send(later, len(content), len(content)).json()["board"]["photos"] == done["board"]["photos"]
    assert len(rack.board(i).photos) == 1
    assert not list(Path(f"{rack.where}.parts").glob("*.part"))


def test_parts_that_do_not_fit_together_are_thrown_away(rack: Rack, page: Page, change: Any) -> None:
    client, i, content = page(), str(uuid.uuid4()), photo()
    client.put(f"/api/boards/{i}", json=change())
    address = f"/api/boards/{i}/photos/{hashlib.sha256(content).hexdigest()}"
    answer = client.put(address, params={"size": len(content), "at": 0}, content=bytes(len(content)))
    assert answer.status_code == 400
    assert client.get(address).json()["have"] == 0
    assert client.put(address, params={"size": 10**9, "at": 0}, content=b"x").status_code == 422
    unknown = f"/api/boards/{uuid.uuid4()}/photos/{'0' * 64}"
    assert client.put(unknown, params={"size": 5, "at": 0}, content=b"x").status_code == 404
