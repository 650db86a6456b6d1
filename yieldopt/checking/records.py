"""Rules 1xx: names, counts and what belongs to what."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from yieldopt.checking.context import Context, base_name, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import rect
from yieldopt.checking.view import Solid, Thing, label
from yieldopt.wood.plan import Placed


@rule(101)
def units(c: Context) -> Iterator[Finding]:
    if c.plan.units != c.job.units:
        yield finding(101, None, "plan", c.plan.units, c.job.units)


@rule(102, 103, 104)
def boards(c: Context) -> Iterator[Finding]:
    for name, times in Counter(b.board for b in c.plan.boards).items():
        if name not in c.job.board_named:
            yield finding(102, name, "board", name, "a board of the job")
        if times > 1:
            yield finding(103, name, "board", f"{times} times", "once")
        if name in c.job.leave:
            yield finding(104, name, "board", "it is cut", "boards not named under leave")


@rule(105, 116)
def names_on_a_board(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for name, times in Counter(b.blank for b in view.plan.blanks).items():
            if times > 1:
                yield finding(105, view.name, f"blank {name}", f"{times} times", "once")
        for name, times in Counter(o.offcut for o in view.plan.offcuts).items():
            if times > 1:
                yield finding(116, view.name, f"offcut {name}", f"{times} times", "once")


@rule(106)
def piece_names(c: Context) -> Iterator[Finding]:
    times = Counter(piece.piece for _, piece in c.plan.pieces())
    for name, count in times.items():
        if count > 1:
            yield finding(106, None, f"piece {name}", f"{count} times", "once")
    staved = {base_name(piece.piece) for _, piece in c.plan.pieces() if piece.stave is not None}
    for name in sorted(staved & set(times)):
        yield finding(106, None, f"piece {name}", "it whole and staves of it", "one or the other")


@rule(107, 108)
def piece_parts(c: Context) -> Iterator[Finding]:
    for board, piece in c.plan.pieces():
        part = c.job.part_named.get(piece.part)
        if part is None:
            yield finding(108, board.board, f"piece {piece.piece}", f"part {piece.part}", "a part of the job")
            continue
        name = re.fullmatch(re.escape(part.name) + r"#([1-9][0-9]*)(?:/([1-9][0-9]*))?", piece.piece)
        stave = None if piece.stave is None else str(piece.stave)
        # Compared as text: a name of thousands of digits is no number worth having.
        if name is None or len(name[1]) > 9 or int(name[1]) > part.qty or name[2] != stave:
            wanted = f"{part.name}#1 to {part.name}#{part.qty}" + (f", then /{stave}" if stave else "")
            yield finding(107, board.board, f"piece {piece.piece}", piece.piece, wanted)


@rule(109, 110)
def counts(c: Context) -> Iterator[Finding]:
    missing: Counter[str] = Counter()
    for entry in c.plan.unplaced:
        if entry.part not in c.job.part_named or entry.qty < 1:
            yield finding(110, None, f"unplaced {entry.part}", f"{entry.qty} of {entry.part}", "one or more of a part of the job")
        missing[entry.part] += entry.qty
    # Pieces that lie on unknown boards are no pieces.
    placed = Counter(name[0] for name in {(piece.part, base_name(piece.piece)) for _, piece, _ in c.pieces()})
    for part in c.job.parts:
        if placed[part.name] + missing[part.name] != part.qty:
            there = f"{placed[part.name]} placed and {missing[part.name]} unplaced"
            yield finding(109, None, f"part {part.name}", there, f"{part.qty} in all")


@rule(111)
def blank_lists(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for blank in view.plan.blanks:
            there = sorted(p.piece for p in view.plan.pieces if p.blank == blank.blank)
            if sorted(blank.pieces) != there:
                yield finding(111, view.name, label(blank), ", ".join(sorted(blank.pieces)) or "none", ", ".join(there) or "none")


@rule(112)
def piece_in_blank(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for piece in view.plan.pieces:
            blank = view.blanks.get(piece.blank)
            if blank is None:
                yield finding(112, view.name, label(piece), f"blank {piece.blank}", "a blank of this board")
            elif not rect(piece).within(rect(blank)):
                yield finding(112, view.name, label(piece), _span(c, piece), f"inside {_span(c, blank)}")
            elif piece.layers != blank.layers or not 1 <= piece.layer <= blank.layers:
                there = f"layer {piece.layer} of {piece.layers}"
                yield finding(112, view.name, label(piece), there, f"layers 1 to {blank.layers}")


def _span(c: Context, thing: Placed) -> str:
    r = rect(thing)
    return f"x {c.show(r.x0)} to {c.show(r.x1)}, y {c.show(r.y0)} to {c.show(r.y1)}"


@rule(113)
def layers(c: Context) -> Iterator[Finding]:
    for view in c.views:
        for blank in view.plan.blanks:
            if blank.layers < 1 or len(blank.thicknesses) != blank.layers:
                yield finding(113, view.name, label(blank), f"{len(blank.thicknesses)} thicknesses", f"{max(1, blank.layers)}")


@rule(114)
def sizes_above_zero(c: Context) -> Iterator[Finding]:
    for view in c.views:
        things: tuple[Solid | Thing, ...] = (*view.plan.blanks, *view.plan.pieces, *view.plan.offcuts, *view.plan.spoiled)
        for thing in things:
            if thing.length <= 0 or thing.width <= 0:
                yield finding(114, view.name, label(thing), f"{c.show(thing.length)} x {c.show(thing.width)}", "sizes above zero")
        for cut in view.plan.cuts:
            if cut.end <= cut.start:
                there = f"from {c.show(cut.start)} to {c.show(cut.end)}"
                yield finding(114, view.name, f"cut {cut.order}", there, "to beyond from")
