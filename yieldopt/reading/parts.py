"""The parts list, the maker's pins, and what must agree between rows: matching groups and staves."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from math import ceil, floor
from pathlib import Path
from typing import Literal, cast

from yieldopt.ground.errors import Problem
from yieldopt.ground.lengths import Units, show
from yieldopt.reading.boards import ALLOWED_KINDS, BoardNames
from yieldopt.reading.columns import PARTS, PINS
from yieldopt.reading.fields import Fields
from yieldopt.reading.limits import MAX_QTY
from yieldopt.reading.tables import TableRow, find_table
from yieldopt.wood.lumber import DEFECT_KINDS, MatchKind, Part, Pin, Shop

MATCH_KINDS: tuple[MatchKind, ...] = ("book", "slip", "run", "board")
SAWN_WANTED: tuple[Literal["any", "flat", "rift", "quarter"], ...] = ("any", "flat", "rift", "quarter")
_PIECE = re.compile(r"(?P<part>.+)#(?P<k>[1-9]\d{0,8})(?:/(?P<j>[1-9]\d{0,8}))?", re.ASCII | re.DOTALL)

# A part and the row it was read from, for what is checked between rows.
PartRow = tuple[Part, Fields]


def parts_in(
    folder: Path, units: Units, shop: Shop, boards: BoardNames, problems: list[Problem]
) -> tuple[tuple[Part, ...], bool]:
    """The parts of a folder, and whether all of them could be read."""
    table = find_table(folder, PARTS, problems, needed=True)
    if table is None:
        return (), False
    if not table.rows:
        problems.append(Problem(table.file, 2, None, None, "at least one part"))
    rows: list[PartRow] = []
    seen: set[str] = set()
    for row in table.each(problems):
        f = Fields(table.file, row.number, row.cells, units, problems)
        part = _part(f, row, boards)
        if part.name in seen:
            f.refuse("part", part.name, "a name that no other part has")
        seen.add(part.name)
        if f.ok and part.staves:
            _check_staves(f, part, shop)
        rows.append((part, f))
    _check_groups(rows)
    return tuple(p for p, f in rows if f.ok), bool(rows) and all(f.ok for _, f in rows)


def _part(f: Fields, row: TableRow, boards: BoardNames) -> Part:
    allow = tuple(" ".join(a.lower().split()) for a in f.names("allow"))
    for kind in allow:
        if kind not in DEFECT_KINDS:
            f.refuse("allow", kind, f"defect kinds separated by ;, each of them {ALLOWED_KINDS}")
    match, kind_given = f.name("match", needed=False), f.given("match_kind")
    if match and not kind_given:
        f.refuse("match_kind", None, "book, slip, run or board, since match names a group")
    if kind_given and not match:
        f.refuse("match", None, "the group's name, since match_kind is given")
    sources = boards.free(f, "from", f.names("from"))
    return Part(
        f.name("part"),
        f.whole("qty", 1, MAX_QTY),
        f.species(),
        f.length("thickness"),
        f.length("width"),
        f.length("length"),
        cast(Literal[0, 1, 2], f.whole("faces", 0, 2, 2)),
        frozenset(allow),
        f.choice("sawn", SAWN_WANTED, "any"),
        f.choice("grain", ("length", "any"), "length"),
        match or None,
        f.choice("match_kind", MATCH_KINDS) if kind_given else None,
        f.span("staves"),
        sources,
        row.notes,
    )


def _check_staves(f: Fields, part: Part, shop: Shop) -> None:
    """Some whole number n of staves must be able to make the panel before its edges are trimmed: n x low <= width + 2 x
    `edge` <= n x high."""
    assert part.staves is not None
    low, high = part.staves
    panel = part.width + 2 * shop.allowances.edge
    if part.match_kind in ("book", "slip", "run"):
        f.refuse("staves", f.cells["staves"], f"nothing: a piece of a {part.match_kind} group is one piece")
    elif ceil(panel / high) > floor(panel / low):
        fewest, most = ceil(panel / high), floor(panel / low)
        counts = [n for n in (most, fewest) if n > 0]
        fits = " or ".join(f"{n} of {show(panel / n, f.units)}" for n in counts)
        wanted = f"a range in which staves add up to {show(panel, f.units)} (width + 2 x edge), such as {fits}"
        f.refuse("staves", f.cells["staves"], wanted)


def _check_groups(rows: Sequence[PartRow]) -> None:
    """What the rows of one matching group must share; each problem names the first row that departs from the group's first."""
    groups: dict[str, list[PartRow]] = {}
    broken = {p.match for p, f in rows if not f.ok and p.match}
    for part, f in rows:
        if part.match and part.match_kind:
            groups.setdefault(part.match, []).append((part, f))
    for name, members in groups.items():
        first = members[0][0]
        same_kind = [(p, f) for p, f in members if p.match_kind == first.match_kind]
        for part, f in members:
            if part.match_kind != first.match_kind:
                f.refuse("match_kind", part.match_kind, f"{first.match_kind}, as the other rows of the group {name}")
        if name in broken:
            continue
        if first.match_kind == "book":
            _check_pairs(name, same_kind)
        else:
            _check_shared(name, same_kind)


def _check_pairs(name: str, members: Sequence[PartRow]) -> None:
    """Pieces pair off only with pieces of equal species and finished size, so each such set must be even in number."""

    def size(p: Part) -> tuple[str, Fraction, Fraction, Fraction]:
        return p.species, p.thickness, p.width, p.length

    counts = Counter[tuple[str, Fraction, Fraction, Fraction]]()
    for part, _ in members:
        counts[size(part)] += part.qty
    for part, f in members:
        if counts.pop(size(part), 0) % 2:
            f.refuse("qty", f.cells["qty"], f"an even number of pieces of this species and size in the book-matched group {name}")


def _check_shared(name: str, members: Sequence[PartRow]) -> None:
    first = members[0][0]
    # A slip is one footprint cut into layers; a run is one layer of one strip; a board group is one board.
    shared = {"slip": ("species", "length", "width", "grain"), "run": ("species", "thickness"), "board": ("species",)}
    for column in shared[str(first.match_kind)]:
        for part, f in members[1:]:
            wanted, value = getattr(first, column), getattr(part, column)
            if value != wanted:
                text = show(wanted, f.units) if isinstance(wanted, Fraction) else str(wanted)
                as_first = f"{text}, as {first.name} in the {first.match_kind} group {name}"
                f.refuse(column, f.cells.get(column) or str(value), as_first)


def pins_in(
    folder: Path, units: Units, parts: Sequence[Part], parts_known: bool, boards: BoardNames, problems: list[Problem]
) -> tuple[Pin, ...]:
    """The pins of a folder; a piece may be pinned once and must be one that the parts list makes."""
    table = find_table(folder, PINS, problems, needed=False)
    named = {p.name: p for p in parts}
    pins: dict[str, Pin] = {}
    for row in table.each(problems) if table else ():
        f = Fields(table.file if table else "", row.number, row.cells, units, problems)
        piece, board = f.name("piece"), f.name("board")
        boards.check(f, "board", board)
        if piece and parts_known:
            _check_piece(f, piece, named)
        if piece in pins:
            f.refuse("piece", piece, "each piece once")
        layer = f.whole("layer", 1, 99) if f.given("layer") else None
        pin = Pin(piece, board, f.length("x", least=0), f.length("y", above=None), layer, row.notes)
        if f.ok:
            pins[piece] = pin
    return tuple(pins.values())


def _check_piece(f: Fields, piece: str, parts: dict[str, Part]) -> None:
    m = _PIECE.fullmatch(piece)
    part = parts.get(m["part"]) if m else None
    if m is None or part is None:
        f.refuse("piece", piece, "a piece of a part in the parts list, such as rail#2")
    elif int(m["k"]) > part.qty:
        f.refuse("piece", piece, f"{part.name}#1 to {part.name}#{part.qty}")
    elif m["j"] and not part.staves:
        f.refuse("piece", piece, f"{part.name}#{m['k']}, since {part.name} is not glued up from staves")
