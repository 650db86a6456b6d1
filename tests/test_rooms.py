"""The table of rooms in DEVELOPERS.md against what the modules import: no room knows another that the table doesn't name."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent
# Head of a table, and the package whose parts it lists.
TABLES = {
    "| room |": "yieldopt",
    "| room of `planning/` |": "yieldopt.planning",
    "| room of `drawing/` |": "yieldopt.drawing",
    "| room of `sourcing/` |": "yieldopt.sourcing",
    "| room of `rack/` |": "yieldopt.rack",
}


def folder(package: str) -> Path:
    return TOP.joinpath(*package.split("."))


def table(head: str) -> dict[str, tuple[set[str], set[str]]]:
    """Room -> its modules and packages by name, and the rooms that it may know; in the order of the table."""
    rooms: dict[str, tuple[set[str], set[str]]] = {}
    text = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
    for line in text[text.index(head) + len(head) :].split("\n\n")[0].splitlines():
        cells = [c.strip() for c in line.strip("|").split("|")]
        if len(cells) != 3 or "`" not in cells[0]:
            continue
        named = {n.removesuffix(".py").rstrip("/") for n in re.findall(r"`([\w/.]+)`", cells[0])}
        room = cells[0].split(":")[0] if ":" in cells[0] else next(iter(named))
        above = set(rooms)
        rooms[room] = named, above if cells[2] == "everything" else set(re.findall(r"\w+", cells[2])) - {"nothing"}
        assert rooms[room][1] <= above, f"{room} knows a room that doesn't stand above it"
    return rooms


def imports(package: str) -> Iterator[tuple[Path, str, str]]:
    """Every import of one part of a package by another, lazy ones too: file, its module or package, and the other's."""
    top = folder(package)
    deep = len(package.split("."))
    for file in sorted(top.rglob("*.py")):
        mine = file.relative_to(top).parts[0].removesuffix(".py")
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == package:
                found = [a.name for a in node.names if (top / a.name).is_dir() or (top / f"{a.name}.py").exists()]
            elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith(package + "."):
                found = [str(node.module).split(".")[deep]]
            elif isinstance(node, ast.Import):
                found = [a.name.split(".")[deep] for a in node.names if a.name.startswith(package + ".")]
            else:
                continue
            yield from ((file, mine, other) for other in found if other != mine)


@pytest.mark.parametrize(("head", "package"), TABLES.items())
def test_every_module_has_its_room(head: str, package: str) -> None:
    parts = folder(package).iterdir()
    there = {p.name.removesuffix(".py") for p in parts if p.suffix == ".py" or (p / "__init__.py").exists()} - {"__init__"}
    named = [n for modules, _ in table(head).values() for n in modules if n != "inventory"]
    assert sorted(named) == sorted(there)


@pytest.mark.parametrize(("head", "package"), TABLES.items())
def test_no_room_knows_another_that_the_table_does_not_name(head: str, package: str) -> None:
    rooms = table(head)
    room_of = {n: room for room, (modules, _) in rooms.items() for n in modules}
    known: dict[str, set[str]] = {room: set() for room in rooms}
    for file, mine, other in imports(package):
        if mine == "__init__":
            continue
        a, b = room_of[mine], room_of[other]
        if a != b:
            assert b in rooms[a][1], f"{file.relative_to(TOP)} imports {other}"
            known[a].add(b)
    # And none is named for nothing.
    assert {room: may for room, (_, may) in rooms.items() if room != "front"} == {r: k for r, k in known.items() if r != "front"}


def test_every_room_says_what_is_in_it_and_where_to_begin() -> None:
    for init in folder("yieldopt").glob("*/**/__init__.py"):
        if "migrations" in init.parts:
            continue
        text = ast.get_docstring(ast.parse(init.read_text(encoding="utf-8"))) or ""
        assert len(text) > 40, f"{init.relative_to(TOP)} says nothing of the room"
        begin = re.search(r"[Bb]egin (?:reading in|with) `([\w/.]+)`", text)
        assert begin is not None, f"{init.relative_to(TOP)} doesn't say where to begin reading"
        assert (init.parent / begin[1]).exists(), f"{init.relative_to(TOP)}: {begin[1]} is not there"


def test_no_test_module_imports_another() -> None:
    """What several need is in a helper module beside them."""
    for file in sorted((TOP / "tests").rglob("test_*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            elif isinstance(node, ast.Import):
                names = [a.name for a in node.names]
            else:
                continue
            assert not any(n.startswith("test_") for n in names), f"{file.relative_to(TOP)} imports {names}"
