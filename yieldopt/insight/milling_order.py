"""The order of work after the boards are marked: batches across boards. Lengths are `Fraction` inches.

Stress test; rough cuts, each board in the order of its own tree; first milling; resaw; rest; flatten again; plane, thickest
batch first; part the blanks; single parts to width and length; glue up, and only then bring the panel to its size.
`docs/explanation/order-of-work.md` says why, with sources.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from yieldopt.insight.leftovers import RoughPiece, clear_wood
from yieldopt.wood.lumber import Board, HollowEdge, HollowFace, Job
from yieldopt.wood.plan import Blank, Cut, CutKind, Piece, Plan, Stage


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


@dataclass(frozen=True, slots=True)
class Round:
    """Cuts of one kind, of every board that is ready for them."""

    kind: CutKind
    # (board, its cuts in order)
    cuts: tuple[tuple[str, tuple[Cut, ...]], ...]


def rounds(plan: Plan, stage: Stage) -> list[Round]:
    """The crosscuts and rips of one stage so that many boards go over one saw together, and yet every board is cut in its own
    order: crosscuts and rips take turns, and a cut waits for the round in which all before it on its board are made."""
    found: list[dict[str, list[Cut]]] = []
    for bp in plan.boards:
        turn = 0
        for cut in sorted((c for c in bp.cuts if c.stage == stage and c.kind != "resaw"), key=lambda c: c.order):
            turn += turn % 2 != (cut.kind == "rip")
            while len(found) <= turn:
                found.append({})
            found[turn].setdefault(bp.board, []).append(cut)
    return [
        Round("rip" if turn % 2 else "crosscut", tuple((board, tuple(cuts)) for board, cuts in boards.items()))
        for turn, boards in enumerate(found)
        if boards
    ]


def hollow_face(board: Board, blank: Blank) -> HollowFace:
    """The face of a blank that goes down first: the hollow one, or where bow and cup lie opposite ways the one that is more
    hollow over the blank's own length and width (common practice, no source). "" where nobody has said."""
    along = board.bow * (blank.length / board.length) ** 2
    across = board.cup * (blank.width / board.greatest_width) ** 2
    lies = [(along, board.bow_hollow), (across, board.cup_hollow)]
    return max(lies, key=lambda lie: lie[0])[1] if along or across else ""


def hollow_edge(board: Board) -> HollowEdge:
    """The edge of a board's blanks that is jointed first, as far as somebody has said: the hollow one."""
    return board.crook_hollow if board.crook else ""


def batches(job: Job, plan: Plan, left: Mapping[str, Sequence[RoughPiece]]) -> list[Batch]:
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


def _test_pieces(job: Job, plan: Plan, left: Mapping[str, Sequence[RoughPiece]]) -> list[tuple[Fraction, TestPiece]]:
    """(thickness of its board, piece) of every leftover that may go over the machines, smallest first: sound wood only."""
    m = job.shop.machines
    found = []
    for bp in plan.boards:
        board = job.board_named[bp.board]
        for r in left[bp.board]:
            clear = clear_wood(board, r, m.min_mill_length, m.min_rip_width) if r.holds == "waste" else None
            if clear is not None:
                found.append((board.thickness, TestPiece(board.name, clear.x, clear.y, clear.length, clear.width)))
    return sorted(found, key=lambda f: (f[0], f[1].length * f[1].width, f[1].board))


def stop_settings(job: Job, plan: Plan) -> Mapping[Fraction, Sequence[Piece]]:
    """Single pieces by finished length along the grain, longest first: all of a length are cut at one setting of the stop.

    Staves are not among them: they go long into the glue-up, and the panel is cut to length.
    """
    return _by_size(plan, lambda piece: job.part_named[piece.part].length)


def fence_settings(job: Job, plan: Plan) -> Mapping[Fraction, Sequence[Piece]]:
    """Single pieces by finished width, widest first: all of a width are ripped at one setting of the fence."""
    return _by_size(plan, lambda piece: job.part_named[piece.part].width)


def _by_size(plan: Plan, size: Callable[[Piece], Fraction]) -> Mapping[Fraction, Sequence[Piece]]:
    found: dict[Fraction, list[Piece]] = {}
    for _, piece in plan.pieces():
        if piece.stave is None:
            found.setdefault(size(piece), []).append(piece)
    return {key: found[key] for key in sorted(found, reverse=True)}


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
