"""The phone page's modules: their rooms, what they take over from the package, and, where node is there, their own tests,
formatter, linter and types."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import page_figures
import page_vectors
import pytest
from starlette.testclient import TestClient

from yieldopt.desk.app import SHARED
from yieldopt.web.app import static_files

TOP = Path(__file__).parents[2]
STATIC = TOP / "yieldopt" / "web" / "static"
UNITS = TOP / "tests" / "web" / "page"
# The page for the desk has its own modules and tests, and the same formatter and linter.
DESK = TOP / "yieldopt" / "desk" / "static"
DESK_UNITS = TOP / "tests" / "desk" / "page"
TOOLS = TOP / ".ci" / "page"
WORKER = "yieldopt/web/templates/sw.js"
NODE = shutil.which("node")
MODULES = sorted(STATIC.rglob("*.js"))
HEAD = "| room of the phone page |"

needs_node = pytest.mark.skipif(NODE is None, reason="no node on this machine")
needs_tools = pytest.mark.skipif(
    NODE is None or not (TOOLS / "node_modules").is_dir(), reason="the page's formatter, linter and types are not installed"
)


def rooms() -> dict[str, set[str]]:
    """Room -> rooms it may know, by the table in DEVELOPERS.md, in its order."""
    text = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
    known: dict[str, set[str]] = {}
    for line in text[text.index(HEAD) + len(HEAD) :].split("\n\n")[0].splitlines()[2:]:
        name, _, knows = (c.strip() for c in line.strip("|").split("|"))
        room = name.strip("`").rstrip("/").removesuffix(".js")
        known[room] = set(known) if knows == "everything" else set(re.findall(r"\w+", knows)) - {"nothing"}
        assert known[room] <= set(known) - {room}, f"{room} knows a room that doesn't stand above it"
    return known


def imports(module: Path) -> Iterator[Path]:
    for found in re.findall(r'^(?:import|export)\b[^"]*? from "([^"]+)"', module.read_text(encoding="utf-8"), re.M):
        yield (module.parent / found).resolve()


def room_of(module: Path) -> str:
    at = module.relative_to(STATIC).parts
    return at[0].removesuffix(".js")


@pytest.mark.parametrize("module", MODULES, ids=lambda p: str(p.relative_to(STATIC)))
def test_a_module_is_short_says_what_it_is_and_knows_only_rooms_above_its_own(module: Path) -> None:
    text = module.read_text(encoding="utf-8")
    assert text.startswith(("//", "/**"))
    assert len(text.splitlines()) <= 350
    assert max(map(len, text.splitlines())) <= 100
    known = rooms()
    for other in imports(module):
        assert other in MODULES, f"{module.name} imports {other}, which is not there"
        assert room_of(other) in known[room_of(module)] | {room_of(module)}


@pytest.mark.parametrize("module", sorted(DESK.rglob("*.js")), ids=lambda p: str(p.relative_to(DESK)))
def test_a_module_of_the_desk_is_short_says_what_it_is_and_knows_only_rooms_above_its_own(module: Path) -> None:
    text = module.read_text(encoding="utf-8")
    assert text.startswith(("//", "/**"))
    assert len(text.splitlines()) <= 350
    assert max(map(len, text.splitlines())) <= 100
    order = ["shared", "state", "view", "room", "main.js"]
    room = order.index(module.relative_to(DESK).parts[0])
    for other in imports(module):
        assert other.exists() or other.name in SHARED
        assert order.index(other.relative_to(DESK).parts[0]) <= room, other


def test_no_module_needs_itself_to_be_loaded() -> None:
    """Rooms may not know each other in a circle, and neither may modules."""
    seen: dict[Path, bool] = {}

    def visit(module: Path) -> None:
        assert seen.get(module, True), f"{module.name} is in a circle"
        if module in seen:
            return
        seen[module] = False
        for other in imports(module):
            visit(other)
        seen[module] = True

    for module in MODULES:
        visit(module)


def test_every_module_is_served_and_kept_for_when_there_is_no_signal(page: Any) -> None:
    client: TestClient = page()
    worker, shell = client.get("/sw.js").text, client.get("/").text
    names = {str(m.relative_to(STATIC)) for m in MODULES}
    addresses = set(json.loads(re.findall(r"^const PAGE = (.*);$", worker, re.M)[0]))
    assert addresses == {"/", "/manifest.webmanifest", *(f"/static/{n}" for n in static_files())}
    assert names <= set(static_files())
    for address in addresses:
        assert client.get(address).status_code == 200, address
    for name in names:
        assert f'href="/static/{name}"' in shell, "asked for together, not one after the other"
    for nothing in ("state", "state/", "state/nothing.js", "package.json", "state/../../app.py", "//main.js"):
        assert client.get(f"/static/{nothing}").status_code == 404, nothing


def test_kinds_and_figures_of_the_trade_are_the_packages() -> None:
    assert page_figures.PAGE.read_text(encoding="utf-8") == page_figures.module(), "run python tests/web/page_figures.py"
    # Nowhere else in the page: a second list would go its own way.
    for module in MODULES:
        if module != page_figures.PAGE:
            assert not re.search(r'"(pith|wane|sapwood|no resaw|rift)"', module.read_text(encoding="utf-8")), module


@pytest.mark.parametrize("name", page_vectors.MADE)
def test_the_package_comes_to_the_figures_that_the_page_is_held_to(name: str) -> None:
    made, kept = page_vectors.MADE[name](), page_vectors.kept(name)
    assert len(made) == len(kept)
    for ours, theirs in zip(made, kept, strict=True):
        assert ours.keys() == theirs.keys()
        for k, v in ours.items():
            assert v == (pytest.approx(theirs[k], abs=1e-9) if isinstance(v, float) or k == "there" else theirs[k])


def colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6});", block))


def test_a_colour_is_written_down_once(page: Any) -> None:
    css = (STATIC / "page.css").read_text(encoding="utf-8")
    light = re.search(r"^:root \{(.*?)\}", css, re.S | re.M)
    dark = re.findall(r":root(?::not\(\[data-light=\"light\"\]\)|\[data-light=\"dark\"\]) \{(.*?)\}", css, re.S)
    assert light is not None
    palette = colours(light[1])
    assert len(dark) == 2
    assert colours(dark[0]) == colours(dark[1]), "as the phone, and chosen by hand"
    assert colours(dark[0]).keys() <= palette.keys()
    rules = css.replace(light[0], "").replace(dark[0], "").replace(dark[1], "")
    assert set(re.findall(r"#[0-9a-f]{3,8}\b|rgba?\(", rules)) <= {"#fff", "#000"}, "rules name colours of the palette"
    night = palette | colours(dark[0])
    icon = (STATIC / "icon.svg").read_text(encoding="utf-8")
    assert set(re.findall(r"#[0-9a-f]{6}", icon)) == {night["slate"], night["tape"]}
    manifest = page().get("/manifest.webmanifest").json()
    assert {manifest["background_color"], manifest["theme_color"]} == {night["slate"]}
    for module in MODULES:
        assert not re.search(r"[\"']#[0-9a-f]{3,8}[\"']", module.read_text(encoding="utf-8")), module


def run(*command: str) -> None:
    done = subprocess.run(command, cwd=TOP, capture_output=True, text=True, check=False)
    assert done.returncode == 0, (done.stdout + done.stderr)[-6000:]


@needs_node
def test_the_pages_own_tests() -> None:
    assert NODE is not None
    tests = sorted(str(p) for units in (UNITS, DESK_UNITS) for p in units.glob("*.test.js"))
    assert tests
    run(NODE, "--test", *tests)


def test_what_could_not_run_is_named_in_one_line_at_the_end(tmp_path: Path) -> None:
    """A fresh machine without node, by the README's own way of running the tests."""
    chosen = ["tests/web/test_page_modules.py", "-k", "own_tests or linter", "-n", "1", "-p", "no:cacheprovider"]
    bare = os.environ | {"PATH": str(tmp_path), "YIELDOPT_TESTS": "quick"}
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *chosen], cwd=TOP, env=bare, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("Not run here: ")]
    assert "1 (no node on this machine)" in line
    assert "2 (the page's formatter, linter and types are not installed)" in line
    assert done.stdout.splitlines().index(line) >= len(done.stdout.splitlines()) - 3


@needs_tools
@pytest.mark.parametrize(
    "command",
    [
        ("prettier", "--config", ".ci/page/prettier.config.js", "--check"),
        ("eslint", "--config", ".ci/page/eslint.config.js", "--max-warnings", "0"),
    ],
    ids=lambda c: str(c[0]),
)
def test_the_usual_formatter_and_linter_have_nothing_to_say(command: tuple[str, ...]) -> None:
    tool, *options = command
    files = [*map(str, (*MODULES, *DESK.rglob("*.js"))), WORKER, "tests/*/page/*.js", ".ci/page/*.js"]
    if tool == "prettier":
        files += [str(STATIC / "page.css"), str(DESK / "desk.css")]
    run(str(TOOLS / "node_modules" / ".bin" / tool), *options, *files)


@needs_tools
@pytest.mark.parametrize("project", ["tsconfig.json", "tsconfig.desk.json"])
def test_what_is_handed_on_is_what_is_wanted_by_its_type(project: str) -> None:
    run(str(TOOLS / "node_modules" / ".bin" / "tsc"), "--project", str(TOOLS / project))
