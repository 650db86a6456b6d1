"""README and tutorials followed word for word: each command as it stands there, in a fresh shell, and what the page says comes
of it.

Default: everything that is quick, and the sideboard with short searches. `-m long`: the sideboard as written, and the
installation with its demo: `.venv/bin/python -m pytest -m long tests/test_tutorials.py`.
"""

from __future__ import annotations

import csv
import json
import re
import subprocess
from pathlib import Path

import pytest
from walk import ACTIVATE, TOP, Walk, blocks, checkout

from yieldopt.cli import COMMANDS

TUTORIALS = TOP / "docs" / "tutorial"
SHORT = ("--seconds 90", "--seconds 2")


def rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def written(path: Path, table: list[dict[str, str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as f:
        writer = csv.DictWriter(f, list(table[0]))
        writer.writeheader()
        writer.writerows(table)


def change(path: Path, part: str, **cells: str) -> None:
    """Write into cells of a part's row."""
    table = rows(path)
    (row,) = (r for r in table if r["part"] == part)
    row.update(cells)
    written(path, table)


def test_own_job(tmp_path: Path) -> None:
    """The tool rack, from the page's tables alone."""
    walk = Walk(TUTORIALS / "own-job.md", tmp_path)
    walk.type(ACTIVATE)
    assert walk.type("yieldopt new tool-rack --units mm").status == 0
    job = tmp_path / "tool-rack"
    there = [" ".join(line.split("#")[0].split()) for line in (job / "job.toml").read_text(encoding="utf-8").splitlines()]
    assert {" ".join(line.split()) for line in walk.block("name ").splitlines()} <= set(there)
    begins = {"boards.csv": "board,species", "defects.csv": "board,kind", "parts.csv": "part,qty"}
    good = {name: walk.block(line) for name, line in begins.items()}
    for name, text in good.items():
        (job / name).write_text(text, encoding="utf-8")
    change(job / "parts.csv", "shelf", width="13O")
    change(job / "parts.csv", "saw cheek", qty="3")
    defects = rows(job / "defects.csv")
    next(d for d in defects if d["kind"] == "loose knot")["y"] = "285"
    written(job / "defects.csv", defects)
    said = walk.type("yieldopt plan tool-rack --out rack-plan")
    printed = walk.block("yieldopt plan tool-rack --out rack-plan\n\n3 mistakes").split("\n\n", 1)[1]
    assert (said.status, said.text) == (2, printed)
    assert not (tmp_path / "rack-plan").exists()
    for name, text in good.items():
        (job / name).write_text(text, encoding="utf-8")
    said = walk.type("yieldopt plan tool-rack --out rack-plan")
    assert (said.status, "3 boards cut" in said.text, "not placed" in said.text) == (0, True, False), said.text
    said = walk.type("yieldopt chalk rack-plan/plan.json --out rack-plan")
    assert said.status == 0
    assert "mm" in (tmp_path / "rack-plan" / "sheets" / "E1.svg").read_text(encoding="utf-8")
    walk.end()


@pytest.mark.long  # the desk is up for half a minute; what is done there is followed by `tests/desk` in a browser
def test_at_the_desk(tmp_path: Path) -> None:
    walk = Walk(TUTORIALS / "at-the-desk.md", tmp_path)
    walk.type(ACTIVATE)
    short = ("yieldopt desk", f"XDG_STATE_HOME={tmp_path} timeout --preserve-status -s INT 30 yieldopt desk --no-browser")
    said = walk.type("yieldopt desk", instead=short)
    assert said.status == 0, said.text
    assert "The desk is at http://localhost:" in said.text
    assert said.text.rstrip().endswith("stopped")
    walk.end()


def sideboard(walk: Walk, whole: bool) -> None:
    """The first tutorial; with `whole` as written, else with searches of 2 seconds, which may leave parts without a place."""
    ok = (0,) if whole else (0, 3)
    walk.type(ACTIVATE)
    said = walk.type("yieldopt demo", instead=("", "") if whole else ("demo", "demo --seconds 2"))
    assert said.status in ok, said.text
    assert ("INCOMPLETE" in said.text) == (said.status == 3)
    assert all(word in said.text for word in ("Net cost", "Open first", "packet.html"))
    demo, job = walk.folder / "yieldopt-demo", walk.folder / "my-sideboard"
    assert {"packet.html", "packet.pdf", "plan.json", "job", "sheets"} <= {p.name for p in demo.iterdir()}
    assert (demo / "sheets" / "W14.svg").exists() or not whole
    walk.type("cp -r yieldopt-demo/job my-sideboard")
    parts = {r["part"]: r for r in rows(job / "parts.csv")}
    assert {r["match_kind"] for r in parts.values()} >= {"run", "book", "slip", "board"}
    assert (parts["top"]["faces"], parts["top"]["staves"], parts["left drawer front"]["from"]) == ("1", "3 to 7", "W4;W2")
    settings = (job / "job.toml").read_text(encoding="utf-8")
    emptied = re.sub(r"^leave = .*$", walk.block("[boards]").splitlines()[1], settings, flags=re.M)
    assert emptied != settings
    (job / "job.toml").write_text(emptied, encoding="utf-8")
    change(job / "parts.csv", "middle shelf", **{"from": "W4"})
    instead = ("", "") if whole else SHORT
    plan, chalk = "yieldopt plan my-sideboard --out second --seconds 90", "yieldopt chalk second/plan.json --out second"
    said = walk.type(plan, instead=instead)
    assert (said.status in ok, "not placed: " in said.text) == (True, said.status == 3), said.text
    if whole:
        assert walk.type(chalk).status == 0
    else:
        # Drawing is followed word for word in the other walks.
        assert walk.typed.pop(0) == chalk
    ask_too_much(walk, plan.replace(*instead) if instead[0] else plan, chalk if whole else "")
    said = walk.type("yieldopt check second/plan.json")
    assert said.status == 0
    second = walk.folder / "second" / "plan.json"
    body = json.loads(second.read_text(encoding="utf-8"))
    body["boards"][0]["pieces"][0]["x"] += 1
    second.write_text(json.dumps(body), encoding="utf-8")
    said = walk.run("yieldopt check second/plan.json")
    assert (said.status, "do not cut by this plan" in said.text) == (1, True)
    walk.end()


def ask_too_much(walk: Walk, plan: str, chalk: str) -> None:
    """Step 5: quartersawn legs, and then a word that is none."""
    parts = walk.folder / "my-sideboard" / "parts.csv"
    change(parts, "leg", sawn="quater")
    before = (walk.folder / "second" / "plan.json").read_bytes()
    said = walk.run(plan)
    assert said.status == 2
    assert re.search(r"parts\.csv, row \d+, sawn: found 'quater'", said.text)
    assert (walk.folder / "second" / "plan.json").read_bytes() == before
    if chalk:
        change(parts, "leg", sawn="quarter")
        said = walk.run(plan)
        assert (said.status, "not placed: 4 x leg: " in said.text) == (3, True), said.text
        assert walk.run(chalk).status == 0
        cut = [b["board"] for b in json.loads((walk.folder / "second" / "plan.json").read_text(encoding="utf-8"))["boards"]]
        sheets = [walk.folder / "second" / "sheets" / f"{name}.svg" for name in cut]
        assert all("INCOMPLETE" in s.read_text(encoding="utf-8") for s in sheets)


def test_first_plan_in_short(tmp_path: Path) -> None:
    sideboard(Walk(TUTORIALS / "first-plan.md", tmp_path), whole=False)


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_first_plan_as_written(tmp_path: Path) -> None:
    sideboard(Walk(TUTORIALS / "first-plan.md", tmp_path), whole=True)


def readme(folder: Path) -> Walk:
    """The README's commands but for those that install and test, which `.ci/run` takes from it, with a job of three rails."""
    walk = Walk(TOP / "README.md", folder)
    while walk.typed[0].startswith("python3 "):
        walk.typed.pop(0)
    walk.type(ACTIVATE)
    assert walk.run("yieldopt new my-job").status == 0
    (folder / "my-job" / "parts.csv").write_text(
        "part,qty,species,thickness,width,length\nrail,3,ash,3/4,3,20\n", encoding="utf-8"
    )
    (folder / "my-job" / "boards.csv").write_text(
        "board,species,quarters,length,width,cost\nA1,ash,4/4,96,8,30\nA2,ash,4/4,60,8,20\n", encoding="utf-8"
    )
    return walk


def follow_readme(walk: Walk, fragile: tuple[str, str]) -> None:
    said = walk.type("yieldopt plan my-job --out my-plan")
    assert (said.status, "not placed" in said.text) == (0, False), said.text
    assert walk.type("yieldopt chalk my-plan/plan.json --out my-plan").status == 0
    assert (walk.folder / "my-plan" / "packet.pdf").exists()
    said = walk.type('yieldopt replan my-plan/plan.json --happened "rail#2: spoiled" --out my-plan-2')
    assert (said.status, "to make again: rail#2: spoiled" in said.text) == (0, True), said.text
    assert (walk.folder / "my-plan-2" / "plan.json").exists()
    said = walk.type("yieldopt fragile my-plan/plan.json", instead=fragile)
    assert (said.status, "%" in said.text) == (0, True), said.text
    walk.end()


def test_readme_own_job(tmp_path: Path) -> None:
    """`fragile` with fewer trials than it makes unasked."""
    follow_readme(readme(tmp_path), ("fragile ", "fragile --draws 2 --seconds 2 "))


@pytest.mark.long
def test_readme_own_job_as_written(tmp_path: Path) -> None:
    follow_readme(readme(tmp_path), ("", ""))


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_readme_installs_and_shows_the_demo(tmp_path: Path) -> None:
    """The first of the two commands, in a copy of what git has; it asks the package registry."""
    checkout(tmp_path)
    (command,) = (line for block in blocks(TOP / "README.md") for line in block.splitlines() if line.endswith("yieldopt demo"))
    done = subprocess.run(["bash", "-c", command], cwd=tmp_path, capture_output=True, text=True, check=False)
    # The page promises no complete plan, since the search ends by the clock: it shows one run.
    assert done.returncode in (0, 3), done.stdout + done.stderr
    assert ("INCOMPLETE" in done.stdout) == (done.returncode == 3)
    made = {p.name for p in (tmp_path / "yieldopt-demo").iterdir()}
    assert {"packet.html", "packet.pdf", "plan.json", "job", "sheets"} <= made


def test_the_test_command_is_the_one_that_ci_runs() -> None:
    """The second of the two is run by `.ci/run` as it stands in the README."""
    assert "grep -m1 -- '-m pytest' README.md" in (TOP / ".ci" / "run").read_text(encoding="utf-8")


def test_commands_are_found_where_a_page_first_types_one(tmp_path: Path) -> None:
    """In a fresh shell the environment is not on the path; so a page's first line that is typed puts it there, and without
    it the program is not found."""
    for page in sorted(TUTORIALS.glob("*.md")):
        walk = Walk(page, tmp_path / page.stem)
        first = next(line for line in walk.typed if line.startswith(("yieldopt ", ". ")))
        assert first == ACTIVATE, page.name
        assert walk.run("yieldopt --help").status == 127
        walk.type(ACTIVATE)
        assert walk.run("yieldopt --help").status == 0


@pytest.mark.parametrize("page", [TOP / "README.md", *sorted(TUTORIALS.glob("*.md"))], ids=lambda p: p.name)
def test_every_command_on_the_page_is_one(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    typed = re.findall(r"(?:^    |`)yieldopt ([a-z]+)", text, re.M)
    assert typed
    assert set(typed) <= set(COMMANDS)
