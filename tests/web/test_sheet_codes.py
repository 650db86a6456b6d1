"""A sheet on paper is told from the newest plan by its code, as printed, photographed and typed."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction as F
from pathlib import Path

import pytest
import segno
from PIL import Image
from starlette.testclient import TestClient

from yieldopt.drawing.board.sheetcode import payload
from yieldopt.drawing.packet.packet import draw_packet
from yieldopt.ground.files import write_all_atomically
from yieldopt.planned.checked import plan_files
from yieldopt.planning import plan_job
from yieldopt.records.history import entries, on_sheet, recorded
from yieldopt.web.bench import Bench
from yieldopt.wood.lumber import Board, Job, Part

JOB = Job(
    "a shelf",
    "in",
    (Part("shelf", 1, "ash", F(3, 4), F(5), F(30)),),
    (Board("A1", "ash", "4/4", F(1), F(60), F(6), F(1), cost=F(20)),),
)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A plan of revision 3 with its history."""
    plan = replace(plan_job(JOB, seconds=0.5).plan, revision=1)
    for revision, told in ((1, "planned"), (2, "shelf#1: spoiled"), (3, "A1: cut through 1")):
        before = entries(plan) if revision > 1 else ()
        plan = recorded(replace(plan, revision=revision), before, [told], "Ada", f"2025-03-0{revision}T10:00:00+00:00")
    write_all_atomically(tmp_path, plan_files(JOB, plan))
    return Bench([tmp_path])


def test_the_printed_code_says_what_the_page_reads() -> None:
    plan = replace(plan_job(JOB, seconds=0.5).plan, revision=2)
    packet = draw_packet(JOB, plan)
    (code,) = [m for p in packet.sheets["A1"] for m in p.marks if getattr(m, "role", "") == "qr"]
    assert dict(code.data)["payload"] == payload("a shelf", 2, "A1")
    assert on_sheet(payload("a shelf", 2, "A1")) == ("a shelf", 2)


@pytest.mark.parametrize("text", ["", "hello", "job: x\nrevision: ²", "job: x\nrevision: 99999999999", "revision: 1"])
def test_other_codes_are_no_sheets(text: str) -> None:
    assert on_sheet(text) is None


def test_a_superseded_sheet_is_recognised(page: Callable[..., TestClient], bench: Bench) -> None:
    client = page(bench=bench)
    answers = {r: client.post("/api/bench/0/codes", json={"text": payload("a shelf", r, "A1")}).json() for r in (1, 3, 4)}
    assert answers[3] == {"good": True, "text": "This sheet is of revision 3, the newest."}
    assert answers[1]["good"] is False
    assert "SUPERSEDED" in answers[1]["text"]
    assert "revision 2 of 2025-03-02" in answers[1]["text"]
    assert "newer than the plan here" in answers[4]["text"]
    assert client.post("/api/bench/0/codes", json={"text": "2"}).json()["good"] is False
    assert client.post("/api/bench/0/codes", json={"text": payload("a chair", 3, "A1")}).json()["good"] is None
    assert client.post("/api/bench/0/codes", json={"text": "soup"}).status_code == 400
    assert client.post("/api/bench/7/codes", json={"text": "2"}).status_code == 404


def test_a_sheet_of_another_plan_does_not_pass_for_one_of_this(page: Callable[..., TestClient], bench: Bench) -> None:
    client = page(bench=bench)
    now = client.get("/api/bench/0").json()["plan"]
    address = "/api/bench/0/sheets/A1/0.svg"
    assert client.get(address, params={"plan": now}).status_code == 200
    older = client.get(address, params={"plan": "0" * 64})
    assert older.status_code == 400
    assert "the plan has changed" in older.json()["error"]


def test_a_picture_of_the_code_is_read(page: Callable[..., TestClient], bench: Bench) -> None:
    client = page(bench=bench)
    picture = io.BytesIO()
    segno.make(payload("a shelf", 1, "A1"), error="m", micro=False).save(picture, kind="png", scale=6)
    assert client.post("/api/bench/0/photos", content=picture.getvalue()).json()["good"] is False
    blank = io.BytesIO()
    Image.new("L", (80, 80), 255).save(blank, "PNG")
    answer = client.post("/api/bench/0/photos", content=blank.getvalue())
    assert answer.status_code == 400
    assert "no code" in answer.json()["error"]
    assert client.post("/api/bench/0/photos", content=b"soup").status_code == 400
