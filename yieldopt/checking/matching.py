"""Rules 6xx: matching groups other than runs, names of sets, pins."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from yieldopt.checking.context import Context, base_name, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS
from yieldopt.checking.view import View, label
from yieldopt.wood.lumber import MatchKind, Part
from yieldopt.wood.plan import Piece

Member = tuple[View, Piece, Part]


def groups(c: Context, *kinds: MatchKind) -> dict[str, list[Member]]:
    """Placed pieces of each matching group of these kinds, by the group's name."""
    found: dict[str, list[Member]] = defaultdict(list)
    for view, piece, part in c.pieces():
        if part.match is not None and part.match_kind in kinds:
            found[part.match].append((view, piece, part))
    return found


@rule(601)
def whole(c: Context) -> Iterator[Finding]:
    for name, members in groups(c, "book", "slip", "run", "board").items():
        wanted = sum(p.qty for p in c.job.parts if p.match == name)
        placed = len({base_name(piece.piece) for _, piece, _ in members})
        if placed != wanted:
            yield finding(601, None, f"group {name}", f"{placed} of {wanted} pieces", "all of it or none")


@rule(602)
def one_board(c: Context) -> Iterator[Finding]:
    for name, members in groups(c, "board", "run", "slip").items():
        boards = sorted({view.name for view, _, _ in members})
        if len(boards) > 1:
            yield finding(602, None, f"group {name}", ", ".join(boards), "one board")


def _sets(members: list[Member]) -> dict[str, list[Member]]:
    sets: dict[str, list[Member]] = defaultdict(list)
    for member in members:
        sets[member[1].set or ""].append(member)
    return sets


def _one_footprint(members: list[Member]) -> bool:
    view, first, _ = members[0]
    sides = ("x", "y", "length", "width")
    same = all(abs(getattr(p, side) - getattr(first, side)) <= EPS for _, p, _ in members for side in sides)
    return same and all(v.name == view.name and p.blank == first.blank for v, p, _ in members)


@rule(603, 604, 605)
def book_pairs(c: Context) -> Iterator[Finding]:
    """Two adjacent layers 1-2, 3-4, ... of one blank over one footprint; the faces at the saw cut show, and both open
    on one long edge. Layers 2-3 would lie back to back: their faces meet at a cut that parts two pairs."""
    for group, members in groups(c, "book").items():
        for name, pair in _sets(members).items():
            board, place = pair[0][0].name, f"group {group}, set {name or 'without a name'}"
            layers = sorted(p.layer for _, p, _ in pair)
            equal = len({(part.species, part.thickness, part.width, part.length) for _, _, part in pair}) == 1
            mated = len(layers) == 2 and layers[0] % 2 == 1 and layers[1] == layers[0] + 1
            if not name or not mated or not equal or not _one_footprint(pair):
                there = ", ".join(f"{p.piece} in layer {p.layer} of {p.blank}" for _, p, _ in pair)
                yield finding(603, board, place, there, "two equal pieces in layers 1-2 or 3-4 ... of one blank, one footprint")
            hinges = {p.hinge for _, p, _ in pair}
            if len(hinges) != 1 or None in hinges:
                yield finding(604, board, place, ", ".join(str(p.hinge) for _, p, _ in pair), "near for both or far for both")
            for _, piece, _ in pair:
                if piece.show != "sawn":
                    yield finding(605, board, label(piece), f"show {piece.show}", "sawn")


@rule(606)
def slips(c: Context) -> Iterator[Finding]:
    for group, members in groups(c, "slip").items():
        layers = sorted(p.layer for _, p, _ in members)
        if layers != list(range(layers[0], layers[0] + len(layers))) or not _one_footprint(members):
            there = ", ".join(f"{p.piece} in layer {p.layer} of {p.blank}" for _, p, _ in members)
            yield finding(606, members[0][0].name, f"group {group}", there, "adjacent layers of one blank over one footprint")


@rule(610)
def set_names(c: Context) -> Iterator[Finding]:
    """A set names the group, for staves the glued-up piece (or its part); book pairs have a name each (rule 603)."""
    for view, piece, part in c.pieces():
        allowed: set[str | None]
        if piece.stave is not None:
            allowed = {base_name(piece.piece), part.name, *([part.match] if part.match else [])}
        elif part.match_kind == "book":
            continue
        else:
            allowed = {part.match}
        if piece.set not in allowed:
            wanted = " or ".join(sorted(a or "none" for a in allowed))
            yield finding(610, view.name, label(piece), piece.set or "none", wanted)


@rule(611)
def pins(c: Context) -> Iterator[Finding]:
    placed = {piece.piece: (view, piece) for view, piece, _ in c.pieces()}
    bases = {base_name(name) for name in placed}
    for pin in c.job.pins:
        wanted = f"x {c.show(pin.x)}, y {c.show(pin.y)} on {pin.board}" + (f", layer {pin.layer}" if pin.layer else "")
        if pin.piece not in placed:
            # It is unplaced unless it lies somewhere in another form: whole instead of in staves, or the other way.
            if base_name(pin.piece) in bases:
                yield finding(611, None, f"piece {pin.piece}", "in other staves or none", wanted)
            continue
        view, piece = placed[pin.piece]
        off = abs(piece.x - pin.x) > EPS or abs(piece.y - pin.y) > EPS or view.name != pin.board
        if off or (pin.layer is not None and piece.layer != pin.layer):
            there = f"x {c.show(piece.x)}, y {c.show(piece.y)} on {view.name}, layer {piece.layer}"
            yield finding(611, view.name, label(piece), there, wanted)
