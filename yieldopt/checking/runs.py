"""Rules 607 to 609 and the lengths in a run: pieces end to end along one strip, in the order listed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from yieldopt.checking.context import Context, rule
from yieldopt.checking.finding import Finding, finding
from yieldopt.checking.geometry import EPS
from yieldopt.checking.matching import Member, groups
from yieldopt.checking.view import label


def _in_line(members: list[Member]) -> list[Member]:
    return sorted(members, key=lambda m: m[1].x)


@rule(607)
def one_strip(c: Context) -> Iterator[Finding]:
    """All from one strip and layer, so that one pair of long edges and one face run through."""
    for group, members in groups(c, "run").items():
        view, first, _ = members[0]
        for other, piece, _ in members:
            off = abs(piece.y - first.y) > EPS or abs(piece.width - first.width) > EPS
            if off or other.name != view.name or (piece.layer, piece.layers) != (first.layer, first.layers):
                there = f"y {c.show(piece.y)}, {c.show(piece.width)} wide, layer {piece.layer} of {piece.layers}"
                wanted = f"y {c.show(first.y)}, {c.show(first.width)} wide, layer {first.layer} of {first.layers}"
                yield finding(607, other.name, f"group {group}, {label(piece)}", there, wanted)


@rule(608)
def order(c: Context) -> Iterator[Finding]:
    """As listed, from either end; pieces of one row are alike, so their numbers may come in any order."""
    place = {part.name: i for i, part in enumerate(c.job.parts)}
    for group, members in groups(c, "run").items():
        along = [place[part.name] for _, _, part in _in_line(members)]
        if along not in (sorted(along), sorted(along, reverse=True)):
            there = ", ".join(piece.piece for _, piece, _ in _in_line(members))
            yield finding(608, members[0][0].name, f"group {group}", there, "the order of the parts list, from either end")


@rule(609)
def gaps(c: Context) -> Iterator[Finding]:
    kerf = c.job.shop.kerf.crosscut
    for group, members in groups(c, "run").items():
        line = _in_line(members)
        for (view, a, _), (other, b, _) in pairwise(line):
            gap = b.x - a.x - a.length
            if view.name == other.name and abs(gap - kerf) > EPS:
                yield finding(609, view.name, f"group {group}, {a.piece} and {b.piece}", c.show(gap), c.show(kerf))


@rule(401)
def run_ends(c: Context) -> Iterator[Finding]:
    """`end` at the two outer ends of a run, `run_end` at the inner ones."""
    a = c.job.shop.allowances
    for members in groups(c, "run").values():
        line = _in_line(members)
        for i, (view, piece, part) in enumerate(line):
            need = part.length + (a.end if i == 0 else a.run_end) + (a.end if i == len(line) - 1 else a.run_end)
            if piece.length < need - EPS:
                wanted = f"{c.show(need)} or more at this place in its run"
                yield finding(401, view.name, label(piece), c.show(piece.length), wanted)
