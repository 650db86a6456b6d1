"""Logging at the prompt: one short question after the other, with the last answers on offer."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace

from yieldopt.errors import Problem, YieldoptError
from yieldopt.lengths import Units
from yieldopt.rack.facade import Rack
from yieldopt.rack.intake import DEFECT_FORM, Typed, parse_defect, to_record, try_record

# Column, question; the ones without an answer on offer may be left empty, but for the needed four.
QUESTIONS = (
    ("board", "name"),
    ("species", "species"),
    ("quarters", "quarters"),
    ("length", "length"),
    ("width", "width"),
    ("thickness", "thickness at its thinnest"),
    ("dealer", "dealer"),
    ("price_bf", "price per board foot"),
    ("moisture", "moisture %"),
    ("place", "place"),
)
NEEDED = ("board", "species", "quarters", "length", "width")
# Stands for "nothing" where an answer is on offer.
NOTHING = "-"


def next_name(last: str) -> str:
    """The name after `last`: its last number one higher, as wide as it was; "" where it has none."""
    m = re.fullmatch(r"(.*?)(\d{1,9})(\D*)", last)
    return f"{m[1]}{int(m[2]) + 1:0{len(m[2])}d}{m[3]}" if m else ""


def ask_boards(
    rack: Rack,
    last_name: str,
    remembered: Mapping[str, str],
    units: Units,
    ask: Callable[[str], str] = input,
    say: Callable[[str], None] = print,
) -> int:
    """Ask for boards until an empty name or the end of input; how many were logged. Each is stored before the next is asked."""
    offers = dict(remembered)
    offers["board"] = next_name(last_name)
    say(f"Enter takes what is in brackets; {NOTHING} leaves it empty. A dot as the name ends.")
    say(f"Lengths are in {'inches' if units == 'in' else 'mm'} unless they say otherwise.")
    count = 0
    while True:
        try:
            cells = _ask_cells(offers, units, ask, say)
            if cells is None:
                return count
            defects = _ask_defects(cells, units, ask, say)
            record = to_record(Typed(cells, defects), units, "answers")
            rack.log(record)
        except EOFError:
            return count
        except YieldoptError as error:
            say(f"not stored: {error}")
            continue
        count += 1
        say(f"logged {record.name}")
        offers = {k: v for k, v in cells.items() if k not in ("board", "length", "width", "thickness", "moisture")}
        offers["board"] = next_name(record.name)


def _ask_cells(
    offers: Mapping[str, str], units: Units, ask: Callable[[str], str], say: Callable[[str], None]
) -> dict[str, str] | None:
    cells: dict[str, str] = {}
    for column, question in QUESTIONS:
        while True:
            offer = offers.get(column, "")
            answer = ask(f"{question}{f' [{offer}]' if offer else ''}: ").strip()
            if column == "board" and (answer == "." or (not answer and not offer)):
                return None
            answer = offer if not answer else "" if answer == NOTHING else answer
            problem = _problem(cells | {column: answer}, column, units)
            if problem is None:
                break
            say(f"  expected {problem.expected}")
        if answer:
            cells[column] = answer
    return cells


def _problem(cells: Mapping[str, str], column: str, units: Units) -> Problem | None:
    """What is wrong with one answer, the others still open."""
    found: list[Problem] = []
    stand_ins = {"board": "?", "species": "?", "quarters": "4/4", "length": "1000", "width": "100"}
    try_record(Typed({**stand_ins, **cells}), units, "answers", found)
    if column in NEEDED and not cells.get(column):
        return Problem("answers", None, column, None, "an answer")
    return next((p for p in found if p.column == column), None)


def _ask_defects(
    cells: Mapping[str, str], units: Units, ask: Callable[[str], str], say: Callable[[str], None]
) -> list[dict[str, str]]:
    defects: list[dict[str, str]] = []
    while True:
        answer = ask("defect (Enter: no more): ").strip()
        if not answer:
            return defects
        parsed = parse_defect(answer)
        if isinstance(parsed, str):
            say(f"  expected {DEFECT_FORM}")
            continue
        found: list[Problem] = []
        try_record(Typed(cells, [parsed]), units, "answers", found)
        if found:
            say(f"  {replace(found[0], file='defect', row=None)}")
        else:
            defects.append(parsed)
