"""The table of rooms in DEVELOPERS.md against what the modules import: no room knows another that the table doesn't name."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

TOP = Path(__file__).parent.parent
PACKAGE = TOP / "yieldopt"


def table() -> dict[str, tuple[set[str], set[str]]]:
    """Room -> its modules and packages by name, and the rooms that it may know; in the order of the table."""
    rooms: dict[str, tuple[set[str], set[str]]] = {}
    section = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8").split("## The rooms")[1].split("\n## ")[0]
    for line in section.splitlines():
        cells = [c.strip() for c in line.strip("|").split("|")]
        if len(cells) != 3 or "`" not in cells[0]:
            continue
        named = {n.removesuffix(".py").rstrip("/") for n in re.findall(r"`([\w/.]+)`", cells[0])}
        room = cells[0].split(":")[0] if ":" in cells[0] else next(iter(named))
        above = set(rooms)
        rooms[room] = named, above if cells[2] == "everything" else set(re.findall(r"\w+", cells[2])) - {"nothing"}
        assert rooms[room][1] <= above, f"{room} knows a room that doesn't stand above it"
    return rooms


def imports() -> Iterator[tuple[Path, str, str]]:
    """Every import of one part of the package by another, lazy ones too: file, its module or package, and the other's."""
    for file in sorted(PACKAGE.rglob("*.py")):
        mine = file.relative_to(PACKAGE).parts[0].removesuffix(".py")
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "yieldopt":
                found = [a.name for a in node.names if (PACKAGE / a.name).is_dir() or (PACKAGE / f"{a.name}.py").exists()]
            elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("yieldopt."):
                found = [str(node.module).split(".")[1]]
            elif isinstance(node, ast.Import):
                found = [a.name.split(".")[1] for a in node.names if a.name.startswith("yieldopt.")]
            else:
                continue
            yield from ((file, mine, other) for other in found if other != mine)


def test_every_module_has_its_room() -> None:
    there = {p.name.removesuffix(".py") for p in PACKAGE.iterdir() if p.suffix == ".py" or (p / "__init__.py").exists()}
    named = [n for modules, _ in table().values() for n in modules]
    assert sorted(named) == sorted((there | {"inventory"}) - {"__init__"})


def test_no_room_knows_another_that_the_table_does_not_name() -> None:
    rooms = table()
    room_of = {n: room for room, (modules, _) in rooms.items() for n in modules}
    known: dict[str, set[str]] = {room: set() for room in rooms}
    for file, mine, other in imports():
        if mine == "__init__":
            continue
        a, b = room_of[mine], room_of[other]
        if a != b:
            assert b in rooms[a][1], f"{file.relative_to(TOP)} imports {other}"
            known[a].add(b)
    # And none is named for nothing.
    assert {room: may for room, (_, may) in rooms.items() if room != "front"} == {r: k for r, k in known.items() if r != "front"}
