"""Wood of a blank that may not go over the machines any more, as it lies there: what was sawn of it stays sawn.

Such a blank leaves the plan, and its wood is spent. Cuts made inside it went through wood all the same. Where it was not
resawn they are crosscuts and rips like any other and stay among the board's rough cuts. What was done to layers can't be
told without the blank: those cuts are kept in the plan's `sawn`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from yieldopt.records.sections import Sawn, SawnCut
from yieldopt.replanning.wood import Wood, around, inside, overlap, saw
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Placed, Plan, Spoiled


def in_blank(thing: Offcut | Spoiled, blank: Blank) -> bool:
    """Does it lie in the blank, in one of its layers?"""
    return thing.layers == blank.layers and inside(thing, blank)


def spent(blank: Blank, entry: BoardPlan, leaf: Wood | None) -> tuple[list[Spoiled], list[Cut]]:
    """The blank's wood, piece by piece as it was cut, and the cuts inside it as cuts of the board. `leaf` is the wood that
    the rough cuts left round the blank."""
    made = sorted((c for c in entry.cuts if c.blank == blank.blank and c.state == "done"), key=lambda c: c.order)
    held: list[tuple[str, Placed]] = [(p.piece, p) for p in entry.pieces if p.blank == blank.blank]
    held += [(s.piece, s) for s in entry.spoiled if in_blank(s, blank)]
    if blank.layers > 1 or leaf is None or not made:
        return [_lump(blank, around(blank), [name for name, _ in held])], []
    cuts: list[Cut] = []
    for cut in made:
        parts, _ = saw(leaf, cuts)
        across = cut.kind == "crosscut"
        met = next((w for w in parts if overlap(w, _kerf(cut))), None)
        if met is not None:
            start, end = (met.y0, met.y1) if across else (met.x0, met.x1)
            cuts.append(replace(cut, stage="rough", blank=None, layer=None, start=start, end=end))
    parts, _ = saw(leaf, cuts)
    wood = [_within(w, blank) for w in parts if overlap(w, blank)]
    return [_lump(blank, w, [name for name, thing in held if overlap(thing, w)]) for w in wood], cuts


def _kerf(cut: Cut) -> Wood:
    if cut.kind == "crosscut":
        return Wood(cut.at, cut.at + cut.kerf, cut.start, cut.end)
    return Wood(cut.start, cut.end, cut.at, cut.at + cut.kerf)


def _within(wood: Wood, blank: Blank) -> Wood:
    b = around(blank)
    return Wood(max(wood.x0, b.x0), min(wood.x1, b.x1), max(wood.y0, b.y0), min(wood.y1, b.y1))


def _lump(blank: Blank, wood: Wood, names: Sequence[str]) -> Spoiled:
    return Spoiled(", ".join(names) or blank.blank, wood.x, wood.y, wood.length, wood.width)


# -- what stays in the record only ------------------------------------------------------------------------------------


def only_recorded(before: Plan, after: Plan) -> list[tuple[str, Cut]]:
    """Cuts that are made by the plan before and are not among those of the plan after, with their boards."""
    there = {(b.board, c.order, c.kind, c.at) for b in after.boards for c in b.cuts if c.state == "done"}
    made = ((b.board, c) for b in before.boards for c in b.cuts if c.state == "done")
    return [(board, c) for board, c in made if (board, c.order, c.kind, c.at) not in there]


def recorded(before: Plan, after: Plan) -> Plan:
    """The plan after with such cuts in its record, beside those recorded earlier."""
    new = tuple(_record(board, c) for board, c in only_recorded(before, after))
    said = before.section(Sawn)
    every = (*(c for c in (said.value if said else ()) if c not in new), *new)
    return after.silent_on(Sawn).saying(*([Sawn(every)] if every else []))


def _record(board: str, c: Cut) -> SawnCut:
    return SawnCut(board, c.blank, c.order, c.stage, c.kind, c.at, c.start, c.end, c.layer)


def told(cuts: Iterable[tuple[str, Cut]]) -> list[str]:
    """One sentence a blank whose cuts are in the record only."""
    orders: dict[tuple[str, str], list[int]] = {}
    for board, c in cuts:
        orders.setdefault((board, c.blank or ""), []).append(c.order)
    return [
        f"{blank} on {board} is spent wood now; {'cut' if len(ns) == 1 else 'cuts'} {', '.join(map(str, sorted(ns)))} made "
        "inside it no longer on the sheet, only in the record"
        for (board, blank), ns in orders.items()
    ]
