"""The tick list of the bench against the sheet on paper and against the plan's own figures, cut by cut."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from layouts import layout
from starlette.testclient import TestClient
from strategies import jobs

from yieldopt.demo import MAIN_JOB, inventory
from yieldopt.drawing.backends.svg import write_svg
from yieldopt.drawing.board.boardsheet import board_sheet
from yieldopt.drawing.page.lettering import clean
from yieldopt.drawing.page.paper import LETTER
from yieldopt.drawing.setting import setting_for
from yieldopt.ground.lengths import parse_length
from yieldopt.planning import plan_job
from yieldopt.rack.door.facade import Rack
from yieldopt.reading.job import read_job
from yieldopt.reading.writing import job_files
from yieldopt.records.planfile import dumps, loads
from yieldopt.web.app import Setup, make_app
from yieldopt.web.bench import Bench
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

HEADS = ("no.", "cut", "at", "mm", "in", "along", "waste")
# `crosscuts from the datum end, at the crosscut saw` above the rows that it holds for.
MEASURED = re.compile(r"(crosscut|rip|resaw)s ([^;:]+), at the ([^;]+?)(?=;|\.$)")
# A cut made in a blank: `W2-d, layer 1 at 18 7/8 (479.4 mm)`.
LATER = re.compile(r"(.*?) at ([^()]*) \((.*?)(?: mm|\")\)(?: ✓done)?")


def written(job: Job, plan: Plan, folder: Path) -> Path:
    """A plan folder as the command leaves it."""
    (folder / "job").mkdir(parents=True)
    for name, text in job_files(job).items():
        (folder / "job" / name).write_text(text, encoding="utf-8")
    (folder / "plan.json").write_text(dumps(plan), encoding="utf-8")
    return folder


def tick_lists(folder: Path) -> dict[str, list[dict[str, Any]]]:
    """By board, what the phone is told to list."""
    with Rack.open(folder / "shop.rack", create=True) as rack:
        app = make_app(Setup(rack, bench=Bench([folder])))
        body = TestClient(app, base_url="http://localhost", headers={"x-yieldopt": "1"}).get("/api/bench/0").json()
    return {b["board"]: b["cuts"] for b in body["boards"]}


def on_paper(svgs: list[str]) -> list[dict[str, str]]:
    """The cuts, read off the printed pages: rows of a table, words under their heads, from one number to the next; below the
    blanks a number and some words for each; all with what stands above them of all cuts of their kind."""
    texts = [e for svg in svgs for e in ElementTree.fromstring(svg.encode()).iter("{http://www.w3.org/2000/svg}text")]
    words = [("".join(e.itertext()), float(e.get("x", "0")), float(e.get("y", "0"))) for e in texts]
    begin = next(n for n, word in enumerate(words) if word[0] == "Cuts in order")
    end = next((n for n, word in enumerate(words) if word[0] == "Blanks and their pieces"), len(words))
    return [*_in_the_table(words[begin + 1 : end]), *_below([word[0] for word in words[end:]])]


def _in_the_table(words: list[tuple[str, float, float]]) -> Iterator[dict[str, str]]:
    heads: dict[float, str] = {}
    row: dict[str, str] = {}
    line, said, above, reading = 0.0, "", "", False
    for text, x, y in words:
        if text == "no.":
            # A list that goes on in another column or on another page doesn't say it again.
            heads, line, above, reading = {x: text}, y, said if MEASURED.search(said) else above, True
        elif reading and y == line and text in HEADS:
            heads[x] = text
        elif reading and x in heads:
            if heads[x] == "no.":
                if row:
                    yield row
                row = {"above": above}
            row[heads[x]] = f"{row.get(heads[x], '')} {text}".strip()
        else:
            said, reading = (text if reading else f"{said} {text}"), False
    if row:
        yield row


def _below(words: list[str]) -> Iterator[dict[str, str]]:
    above, listed = "", False
    for n, text in enumerate(words):
        if text.startswith(("Resaw cuts:", "Final cuts:")):
            above, listed = text, text.endswith(".")
        elif above and not listed:
            above, listed = f"{above} {text}", text.endswith(".")
        elif listed and text.isdecimal() and (m := LATER.match(" ".join(words[n + 1 : n + 4]))):
            kind = MEASURED.findall(above)[0][0]
            yield {"above": above, "no.": text, "cut": kind, "at": m[2], "beside": m[3], "blank": m[1]}


def as_told(tick: dict[str, Any], row: dict[str, str], units: str) -> bool:
    """Whether the phone says of a cut what its row on paper says."""
    measured = {kind: (origin, saw) for kind, origin, saw in MEASURED.findall(row["above"])}
    beside = row["beside"] if "blank" in row else row["mm" if units == "in" else "in"]
    same = measured[row["cut"].split()[0]] == (tick["origin"], tick["saw"])
    same &= (row["at"], beside) == (tick["at"], tick["beside"].removesuffix(" mm").removesuffix('"'))
    if tick["stage"] == "rough":
        sides = "both" if " and " in tick["waste"] else tick["waste"]
        waste = row.get("waste", "").removesuffix("test strip").removesuffix(", ")
        return bool(same and (row["along"], waste) == (tick["along"], sides))
    layer = tick["along"].removeprefix("whole ").removeprefix("blank")
    # Paper shows a hollow box for a sign that its lettering doesn't have.
    return bool(same and row["blank"] == clean(tick["blank"] + layer))


def compare(job: Job, plan: Plan, folder: Path) -> int:
    """Compare every cut; how many there were."""
    written(job, plan, folder)
    job, plan = read_job(folder / "job"), loads((folder / "plan.json").read_text(encoding="utf-8"))
    lists, setting = tick_lists(folder), setting_for(job, plan, LETTER, "")
    for bp in plan.boards:
        paper = on_paper([write_svg([page], "") for page in board_sheet(setting, bp)])
        ticks = lists[bp.board]
        assert [t["order"] for t in ticks] == sorted(c.order for c in bp.cuts)
        assert [r["no."] for r in paper] == [str(t["order"]) for t in ticks]
        for tick, row in zip(ticks, paper, strict=True):
            assert as_told(tick, row, job.units), (tick, row)
            assert f"at {row['at']} {tick['origin']}" in tick["words"]
            _against_plan(tick, job, bp)
    return sum(len(b.cuts) for b in plan.boards)


def _against_plan(tick: dict[str, Any], job: Job, bp: Any) -> None:
    """The contract's own frames: `at` is the board's x or y; a blank has its corner at x, y; a resaw is a depth."""
    cut = next(c for c in bp.cuts if c.order == tick["order"])
    blank = next((b for b in bp.blanks if b.blank == cut.blank), None)
    waney = bool(job.board_named[bp.board].edges)
    if cut.kind == "resaw":
        at, origin = cut.at, "below flattened face A"
    elif blank is not None:
        at = cut.at - (blank.x if cut.kind == "crosscut" else blank.y)
        origin = "from blank's datum end" if cut.kind == "crosscut" else "from blank's near edge"
    elif cut.kind == "crosscut":
        at, origin = cut.at, "from the datum end"
    else:
        at, origin = cut.at, "from the snapped line" if waney else "from the near edge"
    assert tick["origin"] == origin
    shown = parse_length(tick["at"].removeprefix("~"), job.units)
    # A tape's finest mark, or half a millimetre, rounded to the nearest.
    assert abs(shown - at) <= (Fraction(1, 128) if job.units == "in" else Fraction(1, 4) / Fraction("25.4"))
    assert tick["spots"], "a cut that is nowhere on the drawing"


@pytest.fixture(scope="module")
def demo() -> tuple[Job, Plan]:
    job = read_job(inventory() / MAIN_JOB)
    return job, plan_job(job, seconds=60, steps=5).plan


def test_every_cut_of_the_demo_is_measured_as_on_its_sheet(demo: tuple[Job, Plan], tmp_path: Path) -> None:
    job, plan = demo
    assert compare(job, plan, tmp_path / "plan") > 200
    on_blanks = [c for b in plan.boards for c in b.cuts if c.blank and c.kind != "resaw"]
    waney = [c for b in plan.boards for c in b.cuts if job.board_named[b.board].edges and c.kind == "rip" and not c.blank]
    assert len(on_blanks) > 10, "the demo has cuts on blanks"
    assert waney, "the demo has rips on boards that wander"


@pytest.mark.parametrize("name", ["¹㵘VĲ-1", "ĸÐÔÉÇ¡³𤘈ïb"])
def test_a_blank_whose_boards_name_has_rare_signs_is_found_again(demo: tuple[Job, Plan], name: str, tmp_path: Path) -> None:
    """Paper has a hollow box for what its lettering lacks, the phone has the sign."""
    job, plan = demo
    bp = next(b for b in plan.boards if {"resaw", "final"} <= {c.stage for c in b.cuts})
    renamed = loads(dumps(replace(plan, boards=(bp,))).replace(f'"{bp.board}', f'"{name}'))
    boards = tuple(replace(b, name=name) if b.name == bp.board else b for b in job.boards)
    assert compare(replace(job, boards=boards), renamed, tmp_path / "plan") == len(bp.cuts)


@given(job=jobs())
@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
def test_and_so_is_every_cut_of_drawn_jobs(job: Job) -> None:
    with tempfile.TemporaryDirectory() as folder:
        compare(job, layout(job), Path(folder) / "plan")


def test_a_touch_on_the_drawing_is_a_place_on_the_board(demo: tuple[Job, Plan], page: Callable[..., TestClient]) -> None:
    """Every rough cut's line, turned back into inches by the row it is drawn in, lies where the plan has it."""
    job, plan = demo
    with tempfile.TemporaryDirectory() as name:
        folder = written(job, plan, Path(name) / "plan")
        boards = page(bench=Bench([folder])).get("/api/bench/0").json()["boards"]
    seen = 0
    for b, bp in zip(boards, plan.boards, strict=True):
        for tick in b["cuts"]:
            cut = next(c for c in bp.cuts if c.order == tick["order"])
            for spot in tick["spots"] if cut.stage == "rough" else ():
                strip = next(s for s in b["strips"] if s["page"] == spot["page"] and s["upper"] <= spot["top"] <= s["lower"])
                if cut.kind == "crosscut":
                    there = strip["start"] + (spot["left"] - strip["left"]) / strip["points"]
                else:
                    there = strip["high"] - (spot["top"] + spot["height"] - strip["top"]) / strip["points"]
                assert there == pytest.approx(float(cut.at), abs=0.02)
                seen += 1
    assert seen > 200
