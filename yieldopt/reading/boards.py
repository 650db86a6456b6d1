"""Measured boards with their defects and outlines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from yieldopt.ground.errors import Problem, Problems, remark
from yieldopt.ground.lengths import Units, show
from yieldopt.reading.columns import BOARDS, DEFECTS, EDGES
from yieldopt.reading.fields import Fields, one_of
from yieldopt.reading.tables import Table, TableRow, find_table, read_table
from yieldopt.wood.lumber import DEFECT_KINDS, Board, Defect, EdgePoint, Face, HollowEdge, HollowFace, Sawn, Stress

# An empty `sawn` is unknown.
SAWN: tuple[Sawn, ...] = ("flat", "rift", "quarter", "")
STRESS: tuple[Stress, ...] = ("tested", "unknown", "no resaw")
SOUND_ENDS = ("none", "datum", "far", "both")
FACES: tuple[Face, ...] = ("A", "B", "both")
# Empty is not known.
HOLLOW_FACES: tuple[HollowFace, ...] = ("A", "B", "")
HOLLOW_EDGES: tuple[HollowEdge, ...] = ("near", "far", "")
KINDS = tuple(sorted(DEFECT_KINDS))
ALLOWED_KINDS = one_of(KINDS)


class BoardNames:
    """Every board name that was seen, also in rows that could not be read: those must not draw a second complaint."""

    def __init__(self, names: Iterable[str] = (), known: bool = True, held: Mapping[str, str] | None = None) -> None:
        self.seen = set(names)
        # Boards of a rack that other jobs hold, with the job.
        self.held = held or {}
        # Row of each board that could be read, for what is said of it later.
        self.rows: dict[str, int] = {}
        # The file they stand in.
        self.file = "boards.csv"
        # False where the boards themselves could not be read, so that no name can be called unknown.
        self.known = known

    def check(self, fields: Fields, column: str, name: str) -> bool:
        """Whether `name` is a board; a problem is noted where it is none."""
        if name in self.seen:
            return True
        if name in self.held:
            fields.refuse(column, name, f"a board that is free; this one is held for {self.held[name]}")
        elif self.known and name:
            fields.refuse(column, name, "a board that is in the boards table")
        fields.ok = False
        return False

    def free(self, fields: Fields, column: str, names: Sequence[str]) -> tuple[str, ...]:
        """Those of `names` that the job may use; problems are noted for strangers, and where others hold every one of them."""
        free = tuple(n for n in names if n not in self.held)
        for name in free or names:
            self.check(fields, column, name)
        return free or tuple(names)


def boards_in(folder: Path, units: Units, problems: list[Problem]) -> tuple[tuple[Board, ...], BoardNames]:
    """The boards of a folder and all the names seen; faulty ones are left out and noted."""
    table = find_table(folder, BOARDS, problems, needed=True)
    outlines = find_table(folder, EDGES, problems, needed=False)
    defects = find_table(folder, DEFECTS, problems, needed=False)
    return boards_of(table, outlines, defects, units, problems)


def boards_of(
    table: Table | None, outlines: Table | None, defects: Table | None, units: Units, problems: list[Problem]
) -> tuple[tuple[Board, ...], BoardNames]:
    """The boards of three tables, wherever these come from (files, a form, a command line); as `boards_in`."""
    outlined = {r.cells["board"] for r in outlines.rows} if outlines else set()
    names = BoardNames(known=table is not None)
    boards: dict[str, Board] = {}
    names.file = table.file if table else names.file
    for row in table.each(problems) if table else ():
        fields = Fields(names.file, row.number, row.cells, units, problems)
        board = _board(fields, row, outlined)
        if board.name in names.seen:
            fields.refuse("board", board.name, "a name that no other board has")
        names.seen.add(board.name)
        names.rows.setdefault(board.name, row.number)
        if fields.ok:
            boards[board.name] = board
    if outlines:
        _add_outlines(outlines, boards, names, units, problems)
    if defects:
        for name, found in _defects(defects, boards, names, units, problems).items():
            if name in boards:
                boards[name] = replace(boards[name], defects=found)
    return tuple(boards.values()), names


def _board(f: Fields, row: TableRow, outlined: set[str]) -> Board:
    name = f.name("board", barred=";")
    species = f.species()
    quarters, nominal = f.quarters()
    # With an outline the measured width is only a note; 0 stands for "take the outline's" until that is read.
    width = f.length("width", default=Fraction(0) if name in outlined else None)
    sound = f.choice("sound_ends", SOUND_ENDS, "none")
    return Board(
        name,
        species,
        quarters,
        nominal,
        f.length("length"),
        width,
        f.length("thickness", default=nominal),
        f.choice("sawn", SAWN, ""),
        f.choice("stress", STRESS, "unknown"),
        bow=f.length("bow", Fraction(0), least=0),
        cup=f.length("cup", Fraction(0), least=0),
        crook=f.length("crook", Fraction(0), least=0),
        twist=f.length("twist", Fraction(0), least=0),
        bow_hollow=f.choice("bow_hollow", HOLLOW_FACES, ""),
        cup_hollow=f.choice("cup_hollow", HOLLOW_FACES, ""),
        crook_hollow=f.choice("crook_hollow", HOLLOW_EDGES, ""),
        cost=f.money("cost"),
        price_bf=f.money("price_bf"),
        price_m3=f.money("price_m3"),
        datum_sound=sound in ("datum", "both"),
        far_sound=sound in ("far", "both"),
        notes=row.notes,
    )


def _add_outlines(table: Table, boards: dict[str, Board], names: BoardNames, units: Units, problems: list[Problem]) -> None:
    points: dict[str, list[EdgePoint]] = {}
    faulty: set[str] = set()
    for row in table.each(problems):
        f = Fields(table.file, row.number, row.cells, units, problems)
        name = f.name("board")
        names.check(f, "board", name)
        x = f.length("x", least=0)
        near, far = f.length("near", above=None), f.length("far", above=None)
        board = boards.get(name)
        if f.ok and near >= far:
            f.refuse("far", row.cells["far"], f"a far edge beyond the near edge at {show(near, units)}")
        if f.ok and board and x > board.length:
            f.refuse("x", row.cells["x"], f"a place on {name}, at most {show(board.length, units)} from its datum end")
        if f.ok and any(p.x == x for p in points.get(name, ())):
            f.refuse("x", row.cells["x"], f"each place on {name} once")
        if f.ok:
            points.setdefault(name, []).append(EdgePoint(x, near, far, row.notes))
        else:
            faulty.add(name)
    for name, board in list(boards.items()):
        if name in faulty:
            del boards[name]
        elif name in points:
            outline = tuple(sorted(points[name], key=lambda p: p.x))
            shaped = replace(board, edges=outline)
            boards[name] = shaped if board.width else replace(shaped, width=shaped.greatest_width)


def _defects(
    table: Table, boards: Mapping[str, Board], names: BoardNames, units: Units, problems: list[Problem]
) -> dict[str, tuple[Defect, ...]]:
    found: dict[str, list[Defect]] = {}
    for row in table.each(problems):
        f = Fields(table.file, row.number, row.cells, units, problems)
        name = f.name("board")
        names.check(f, "board", name)
        defect = Defect(
            f.choice("kind", KINDS),
            f.choice("face", FACES, "both"),
            f.length("x", least=0),
            f.length("y", above=None),
            f.length("length"),
            f.length("width"),
            row.notes,
        )
        if f.ok and name in boards:
            defect = _on_the_wood(f, defect, boards[name])
        if f.ok:
            found.setdefault(name, []).append(defect)
    return {name: tuple(d) for name, d in found.items()}


def _on_the_wood(f: Fields, d: Defect, board: Board) -> Defect:
    """The defect cut back to the board's length and the extremes of its width, with a remark; refused where it doesn't touch the
    board at all, or where nobody would read the remark (at the rack, where it is measured once more).

    The smallest rectangle round a defect that follows a slanting edge is partly off the wood, so an outline bounds it only by
    its extremes, but it must meet the wood somewhere.
    """
    on = f"a defect that touches {board.name}"
    lowest, highest = min(p.near for p in board.outline), max(p.far for p in board.outline)
    x, y = d.x, max(d.y, lowest)
    length, width = min(d.x + d.length, board.length) - x, min(d.y + d.width, highest) - y
    if length <= 0:
        f.refuse("x", f.cells["x"], f"{on}: x below {show(board.length, f.units)}")
        return d
    if width <= 0 or not _meets(board, x, y, length, width):
        near, far = board.channel(x, x + length) if board.edges else (lowest, highest)
        f.refuse("y", f.cells["y"], f"{on}, whose edges lie there at {show(near, f.units)} and {show(far, f.units)}")
        return d
    if (y, length, width) == (d.y, d.length, d.width):
        return d
    if not isinstance(f.problems, Problems):
        column, most = ("length", length) if length != d.length else ("width", width) if y == d.y else ("y", lowest)
        f.refuse(column, f.cells[column], f"a defect that lies on {board.name}: {show(most, f.units)}")
        return d
    remark(f.problems, f.file, f.row, None, f"the {d.kind} reaches past {board.name}; it is taken to end with the wood")
    return replace(d, y=y, length=length, width=width)


def _meets(board: Board, x: Fraction, y: Fraction, length: Fraction, width: Fraction) -> bool:
    """Whether a rectangle has wood in it anywhere along its length."""
    if not board.edges:
        return True
    inside = [p for p in board.outline if x <= p.x <= x + length]
    ends = [board.channel(at, at) for at in (x, x + length)]
    near = min([p.near for p in inside] + [e[0] for e in ends])
    far = max([p.far for p in inside] + [e[1] for e in ends])
    return y < far and y + width > near


def defects_in(path: Path, boards: Iterable[Board], units: Units, problems: list[Problem]) -> dict[str, tuple[Defect, ...]]:
    """The defects of one file, by board."""
    by_name = {b.name: b for b in boards}
    table = read_table(path, DEFECTS, problems)
    return _defects(table, by_name, BoardNames(by_name), units, problems) if table else {}
