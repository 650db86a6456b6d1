"""The order of work after the boards are marked: batches across boards. Lengths are `Fraction` inches.

Rough crosscut; rough rip; rest; flatten and edge; stress test and resaw; rest; plane, thickest batch first; final rip;
final crosscut at one stop setting for all parts of a length; glue up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.leftovers import Region
from yieldopt.lumber import THROWN_KINDS, Job
from yieldopt.plan import Piece, Plan


@dataclass(frozen=True, slots=True)
class TestPiece:
    """A leftover that goes through the planer first at a setting; it earns no credit."""

    board: str
    x: Fraction
    y: Fraction
    length: Fraction
    width: Fraction


@dataclass(frozen=True, slots=True)
class Batch:
    """All layers planed at one setting."""

    thickness: Fraction
    # What its parts belong to, where the parts list has a column `assembly`; else "".
    assembly: str
    # (blank, layer, layers of the blank)
    layers: tuple[tuple[str, int, int], ...]
    # None where no leftover is long, wide and thick enough.
    test: TestPiece | None


def batches(job: Job, plan: Plan, left: Mapping[str, Sequence[Region]]) -> list[Batch]:
    """Batches by thickness and assembly, the thickest first, each with its own test piece where the plan leaves one.

    `left` holds each board's `regions`.
    """
    layers: dict[tuple[Fraction, str], list[tuple[str, int, int]]] = {}
    for bp in plan.boards:
        assemblies = {(p.blank, p.layer): job.part_named[p.part].notes.get("assembly", "") for p in reversed(bp.pieces)}
        for blank in bp.blanks:
            for n, thick in enumerate(blank.thicknesses, 1):
                key = (thick, assemblies.get((blank.blank, n), ""))
                layers.setdefault(key, []).append((blank.blank, n, blank.layers))
    spare = _test_pieces(job, plan, left)
    used: set[int] = set()
    out = []
    for thick, assembly in sorted(layers, key=lambda k: (-k[0], k[1])):
        test = None
        fitting = [i for i, (t, _) in enumerate(spare) if t >= thick + 2 * job.shop.allowances.face]
        # A piece once planed to a thicker setting serves the thinner ones too, so one is only shared when there is no other.
        for i in [*[i for i in fitting if i not in used], *fitting][:1]:
            used.add(i)
            test = spare[i][1]
        out.append(Batch(thick, assembly, tuple(layers[thick, assembly]), test))
    return out


def _test_pieces(job: Job, plan: Plan, left: Mapping[str, Sequence[Region]]) -> list[tuple[Fraction, TestPiece]]:
    """(thickness of its board, piece) of every leftover that may go over the machines, smallest first."""
    m = job.shop.machines
    found = []
    for bp in plan.boards:
        board = job.board_named[bp.board]
        for r in left[bp.board]:
            thrown = any(
                d.kind in THROWN_KINDS
                and d.x < r.x + r.length
                and r.x < d.x + d.length
                and d.y < r.y + r.width
                and r.y < d.y + d.width
                for d in board.defects
            )
            if r.holds == "waste" and r.length >= m.min_mill_length and r.width >= m.min_rip_width and not thrown:
                found.append((board.thickness, TestPiece(board.name, r.x, r.y, r.length, r.width)))
    return sorted(found, key=lambda f: (f[0], f[1].length * f[1].width, f[1].board))


def stop_settings(job: Job, plan: Plan) -> Mapping[Fraction, Sequence[Piece]]:
    """Pieces by finished length along the grain, longest first: all of a length are cut at one setting of the stop."""
    found: dict[Fraction, list[Piece]] = {}
    for _, piece in plan.pieces():
        found.setdefault(job.part_named[piece.part].length, []).append(piece)
    return {length: found[length] for length in sorted(found, reverse=True)}


def glue_ups(plan: Plan) -> Mapping[str, Sequence[tuple[str, Piece]]]:
    """Staves of each glued-up piece in their order, each with its board."""
    found: dict[str, list[tuple[str, Piece]]] = {}
    for bp, piece in plan.pieces():
        if piece.stave is not None:
            found.setdefault(piece.piece.rsplit("/", 1)[0], []).append((bp.board, piece))
    return {name: sorted(staves, key=lambda s: s[1].stave or 0) for name, staves in sorted(found.items())}


def matched_sets(job: Job, plan: Plan) -> Mapping[tuple[str, str], Sequence[tuple[str, Piece]]]:
    """Book pairs, slip groups and runs: (kind, set name) to members in order, each with its board."""
    found: dict[tuple[str, str], list[tuple[str, Piece]]] = {}
    for bp, piece in plan.pieces():
        kind = job.part_named[piece.part].match_kind
        if kind in ("book", "slip", "run") and piece.set and piece.stave is None:
            found.setdefault((kind, piece.set), []).append((bp.board, piece))
    return {key: sorted(members, key=lambda m: (m[1].layer, m[1].x)) for key, members in sorted(found.items())}
