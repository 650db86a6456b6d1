"""Logging at the prompt: one short question after the other, with the last answers on offer."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from yieldopt.ground.errors import Problem, UsageError, YieldoptError
from yieldopt.ground.lengths import Units
from yieldopt.rack.board.errors import NoSuchBoard
from yieldopt.rack.board.record import Photo, PhotoRef
from yieldopt.rack.books.photos import read
from yieldopt.rack.door.facade import Rack
from yieldopt.rack.typed.intake import DEFECT_FORM, Typed, parse_defect, parse_edge, to_record, try_record

# Column, question; the ones without an answer on offer may be left empty, but for the needed four.
QUESTIONS = (
    ("board", "name"),
    ("species", "species"),
    ("quarters", "quarters"),
    ("length", "length"),
    ("width", "width"),
    ("thickness", "thickness at its thinnest"),
    ("dealer", "dealer"),
    ("grade", "grade it was sold as"),
    ("price_bf", "price per board foot"),
    ("moisture", "moisture %"),
    ("place", "place"),
)
# In metric shops wood is sold by the cubic metre.
METRIC_PRICE = ("price_m3", "price per cubic metre")
PRICES = ("price_bf", "price_m3")
# What a price is for: another wood or another thickness has another.
PRICED_BY = ("species", "quarters")
NEEDED = ("board", "species", "quarters", "length", "width")
# What belongs to one board alone: never on offer for the next.
OWN = ("board", "length", "width", "thickness", "moisture")
# Stands for "nothing" where an answer is on offer.
NOTHING = "-"
# First word of a further fact -> column, how it is typed.
FACTS = {
    "bow": ("bow", "bow 1/4"),
    "cup": ("cup", "cup 1/8"),
    "crook": ("crook", "crook 3/8"),
    "twist": ("twist", "twist 1/8"),
    "bow-hollow": ("bow_hollow", "bow-hollow A (or B): the face that is hollow along its length"),
    "cup-hollow": ("cup_hollow", "cup-hollow A (or B): the face that is hollow across its width"),
    "crook-hollow": ("crook_hollow", "crook-hollow near (or far): the hollow edge"),
    "points": ("thickness_points", "points 12: 2 1/16; 48: 2"),
    "ends": ("sound_ends", "ends datum (or far, both): need no trimming"),
    "sawn": ("sawn", "sawn flat (or rift, quarter)"),
    "stress": ("stress", "stress tested (or unknown, no resaw)"),
    "cost": ("cost", "cost 40: of the whole board"),
    "remarks": ("remarks", "remarks even dark figure"),
}
# The words that do not fill one cell.
EDGE, PHOTO, NOTE = "edge", "photo", "note"
LISTS = {EDGE: "edge 36 0 4-3/4: X NEAR FAR of a wandering edge", PHOTO: "photo FILE", NOTE: "note NAME=TEXT"}


@dataclass
class _Board:
    """One board while it is asked for."""

    cells: dict[str, str] = field(default_factory=dict)
    defects: list[dict[str, str]] = field(default_factory=list)
    edges: list[dict[str, str]] = field(default_factory=list)
    photos: list[Photo] = field(default_factory=list)


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
    spelling = _Spelling(rack.species())
    say(f"Enter takes what is in brackets; {NOTHING} leaves it empty. A dot as the name ends.")
    say(f"Lengths are in {'inches' if units == 'in' else 'mm'} unless they say otherwise.")
    count = 0
    while True:
        try:
            board = _ask_cells(rack, offers, units, ask, say, spelling)
            if board is None:
                return count
            _ask_more(board, units, ask, say)
            record = to_record(Typed(board.cells, board.defects, board.edges), units, "answers")
            rack.log(replace(record, photos=tuple(PhotoRef(p.name, p.digest) for p in board.photos)), photos=board.photos)
        except EOFError:
            return count
        except YieldoptError as error:
            say(f"not stored: {error}")
            continue
        count += 1
        say(f"logged {record.name}")
        asked = {column for column, _ in _questions(units)}
        offers = {k: v for k, v in board.cells.items() if k in asked and k not in OWN}
        offers["board"] = next_name(record.name)


def _questions(units: Units) -> tuple[tuple[str, str], ...]:
    return tuple(METRIC_PRICE if q[0] == "price_bf" and units == "mm" else q for q in QUESTIONS)


def for_the_same_wood(remembered: Mapping[str, str], cells: Mapping[str, str]) -> dict[str, str]:
    """What is taken over from the board before; its price only where this one is of the same species and thickness."""
    same = all(_plain(cells.get(k) or remembered.get(k, "")) == _plain(remembered.get(k, "")) for k in PRICED_BY)
    return {k: v for k, v in remembered.items() if same or k not in PRICES}


def _plain(text: str) -> str:
    return " ".join(text.lower().split())


class _Spelling:
    """Asks once about a species that neither the rack nor the table of woods knows: it may be a slip of the finger."""

    def __init__(self, there: Iterable[str]) -> None:
        self.there = set(there)

    def doubt(self, species: str) -> str:
        """What to ask, "" where nothing; the same species is not asked about again."""
        wanted = _plain(species)
        if not wanted or wanted in self.there:
            return ""
        doubt = unknown_species(wanted, self.there)
        self.there.add(wanted)
        return doubt


def unknown_species(species: str, there: Iterable[str]) -> str:
    """What to say of a species that no board of the rack and no wood of the table has; "" where one has it."""
    from yieldopt.trade.species import woods

    there = set(there)
    known = {name for w in woods() for name in w.names}
    wanted = _plain(species)
    if wanted in there | known:
        return ""
    near = difflib.get_close_matches(wanted, sorted(there), 1) or difflib.get_close_matches(wanted, sorted(known), 1)
    return f"no board and no wood of the table is called {wanted}" + (f"; was {near[0]} meant?" if near else ".")


def _ask_cells(
    rack: Rack,
    offers: Mapping[str, str],
    units: Units,
    ask: Callable[[str], str],
    say: Callable[[str], None],
    spelling: _Spelling,
) -> _Board | None:
    cells: dict[str, str] = {}
    for column, question in _questions(units):
        while True:
            offer = for_the_same_wood(offers, cells).get(column, "")
            answer = ask(f"{question}{f' [{offer}]' if offer else ''}: ").strip()
            if column == "board" and (answer == "." or (not answer and not offer)):
                return None
            answer = offer if not answer else "" if answer == NOTHING else answer
            doubt = spelling.doubt(answer) if column == "species" else ""
            if doubt:
                answer = ask(f"  {doubt} Its name (Enter keeps {answer}): ").strip() or answer
            problem = _problem(cells | {column: answer}, column, units)
            if problem is None and column == "board" and _known(rack, answer):
                problem = Problem("answers", None, column, answer, "a name that no other board on the rack has")
            if problem is None:
                break
            say(f"  expected {problem.expected}")
        if answer:
            cells[column] = answer
    return _Board(cells)


def _known(rack: Rack, name: str) -> bool:
    try:
        return rack.board(name, gone_too=False).name == name
    except NoSuchBoard:
        return False


def _problem(cells: Mapping[str, str], column: str, units: Units) -> Problem | None:
    """What is wrong with one answer, the others still open."""
    found: list[Problem] = []
    stand_ins = {"board": "?", "species": "?", "quarters": "4/4", "length": "1000", "width": "100"}
    try_record(Typed({**stand_ins, **cells}), units, "answers", found)
    if column in NEEDED and not cells.get(column):
        return Problem("answers", None, column, None, "an answer")
    return next((p for p in found if p.column == column), None)


def _ask_more(board: _Board, units: Units, ask: Callable[[str], str], say: Callable[[str], None]) -> None:
    """Defects, and whatever else is worth noting, a line each; each is looked at before the next is asked."""
    while True:
        answer = ask("defect or more (? says what, Enter ends): ").strip()
        if not answer:
            return
        if answer == "?":
            say(f"  {DEFECT_FORM}")
            for form in (*(form for _, form in FACTS.values()), *LISTS.values()):
                say(f"  {form}")
            continue
        wrong = _note_down(board, answer, units)
        if wrong:
            say(f"  {wrong}")


def _note_down(board: _Board, answer: str, units: Units) -> str:
    """Add one line to what is known of the board; what is wrong with it, "" if nothing is."""
    word, _, rest = answer.partition(" ")
    word, rest = word.lower(), rest.strip()
    tried = replace(board, cells=dict(board.cells), defects=list(board.defects), edges=list(board.edges))
    if word == PHOTO:
        try:
            photo = read(Path(rest).expanduser())
        except (UsageError, RuntimeError) as error:
            return str(error)
        board.photos.append(photo)
        return ""
    if word in FACTS:
        tried.cells[FACTS[word][0]] = rest
    elif word == NOTE:
        name, equals, text = rest.partition("=")
        if not equals or not name.strip():
            return f"expected {LISTS[NOTE]}"
        tried.cells[name.strip()] = text.strip()
    else:
        parsed = parse_edge(rest) if word == EDGE else parse_defect(answer)
        if isinstance(parsed, str):
            return f"expected {parsed}"
        (tried.edges if word == EDGE else tried.defects).append(parsed)
    found: list[Problem] = []
    try_record(Typed(tried.cells, tried.defects, tried.edges), units, "answers", found)
    if found:
        p = found[0]
        return f"found {p.found!r}, expected {p.expected}"
    board.cells, board.defects, board.edges = tried.cells, tried.defects, tried.edges
    return ""
