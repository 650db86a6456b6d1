"""What is lost with what: the rest of a broken set, and the pieces that lay in one blank with a lost one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from yieldopt.ground.names import part_of, whole_of
from yieldopt.insight.slack import run_places
from yieldopt.replanning.bench import Bench, Benches
from yieldopt.replanning.hits import spoils, thrown_in
from yieldopt.replanning.noted import NOTHING, Noted
from yieldopt.replanning.wishes import against_wishes
from yieldopt.replanning.wood import EPS
from yieldopt.rules.boards import hindrance, right_wood
from yieldopt.sizes.glue_up import least_thicknesses
from yieldopt.sizes.sizing import rough_sizes, run_piece_length, thickness_need, warp_loss
from yieldopt.wood.lumber import THICKER_STAVE, Board, Job, Part
from yieldopt.wood.plan import Blank, BoardPlan, Piece, Plan

# Boards beside those that are hit which the middle way may lay out anew, of each species.
HELPERS = 2


@dataclass(frozen=True)
class Standing:
    """A marked plan beside its job, board by board."""

    job: Job
    plan: Plan
    benches: dict[str, Bench]
    notes: Noted = NOTHING

    def pieces(self) -> dict[str, Piece]:
        return {p.piece: p for _, p in self.plan.pieces()}

    def measured(self, board: Board, blank: Blank) -> Fraction:
        """The board's thickness where the blank lies, as it was measured last."""
        thin = self.notes.thickness(board.name, blank)
        return board.thickness if thin is None else min(thin, board.thickness)


def standing(job: Job, plan: Plan, notes: Noted = NOTHING, known: Benches | None = None) -> Standing:
    """Replays each board's cuts, but of those that are `known`."""
    known = known or Benches()
    return Standing(job, plan, {b.board: known.of(job.board_named[b.board], b) for b in plan.boards}, notes)


def wanted(job: Job, piece: Piece) -> bool:
    """Does the job still ask for this piece? The designer may have dropped it."""
    part = job.part_named.get(piece.part)
    number = whole_of(piece.piece)[len(part_of(piece.piece)) + 1 :]
    return part is not None and number.isdigit() and int(number) <= part.qty


def hit(s: Standing) -> dict[str, str]:
    """Pieces, not finished, that a defect spoils where they lie, and those in a blank that may not be machined: why."""
    why: dict[str, str] = {}
    for name, bench in s.benches.items():
        for p in bench.plan.pieces:
            if p.state != "done" and wanted(s.job, p):
                found = spoils(s.job, bench.board, p)
                if found:
                    kinds = dict.fromkeys(d.notes.get("why") or f"{d.kind} in it" for d in found)
                    why[p.piece] = f"{' and '.join(kinds)} on {name}"
        for blank in bench.plan.blanks:
            if too_thin(s, bench, blank):
                open_ones = [p.piece for p in bench.plan.pieces if p.blank == blank.blank and p.state != "done"]
                why.update((n, why.get(n, f"its blank {blank.blank} came out too thin")) for n in open_ones)
            if thrown_in(s.job, bench.board, blank, bench.plan):
                why.update((n, why.get(n, f"a loose knot or split in its blank {blank.blank}")) for n in blank.pieces)
    return why


def too_thin(s: Standing, bench: Bench, blank: Blank) -> bool:
    """Was wood of the blank, not machined yet, measured thinner than its layers need?"""
    thin = s.notes.thickness(bench.board.name, blank)
    if thin is None or blank.blank in bench.begun:
        return False
    least = least_thicknesses(blank, bench.plan.pieces, s.job)
    need = thickness_need(least, bench.board.stress == "tested", s.job.shop)
    return need + warp_loss(bench.board, blank.length, blank.width) > min(thin, bench.board.thickness) + EPS


def unfit(s: Standing) -> dict[str, str]:
    """Pieces that are not what their part asks for any more, since the designer or a new measure changed it: why."""
    why: dict[str, str] = {}
    broken = broken_sets(s)
    for name, bench in s.benches.items():
        # In a run with a gap nobody knows yet which piece will be at an end.
        ends = {n: e for n, e in run_places(bench.plan, s.job).items() if n not in broken}
        for p in bench.plan.pieces:
            if wanted(s.job, p):
                wrong = _wrong(s.job, bench, p, s.job.part_named[p.part], ends.get(p.piece))
                if wrong:
                    why[p.piece] = f"{wrong} on {name}"
    return why


def _wrong(job: Job, bench: Bench, p: Piece, part: Part, ends: tuple[bool, bool] | None) -> str | None:
    """What is wrong with the piece for its part; `ends`: whether it has the datum end, the far end of its run, if known."""
    board = bench.board
    most = part.thickness + (THICKER_STAVE if p.stave is not None else 0)
    if not part.thickness - EPS <= p.thickness <= most + EPS:
        return "its part has another thickness now;"
    if not right_wood(part, board):
        return "its part wants other wood now;"
    if hindrance(part, board) is not None:
        return "its part may not come from where it lies,"
    if p.stave is None and (part.match is None) != (p.set is None):
        return "its part belongs to another set now;"
    if p.stave is not None and part.staves is None:
        return "its part is in one piece now;"
    if part.match_kind == "book" and p.show != "sawn" and p.stave is None:
        return "its part belongs to another set now;"
    if part.match_kind in ("slip", "run", "board") and p.stave is None and p.set != part.match:
        return "its part belongs to another set now;"
    ways = rough_sizes(part, job.shop)
    if part.match_kind == "run":
        # Less is left on an outer end than on an inner one in some shops.
        ways = ((min(run_piece_length(part, job.shop, *e) for e in product((False, True), repeat=2)), ways[0][1]),)
    edge = 2 * job.shop.allowances.edge
    if p.stave is not None and part.staves is not None:
        low, high = part.staves
        if not low - EPS <= p.width - edge <= high + EPS:
            return "its part wants other staves now;"
        ways = ((ways[0][0], p.width),)
    if not any(length <= p.length + EPS and width <= p.width + EPS for length, width in ways):
        return "its part is larger now than where it lies"
    if ends is not None and run_piece_length(part, job.shop, *ends) > p.length + EPS:
        return "it has another place in its run now, and is too short for it,"
    blank = bench.blanks.get(p.blank)
    if blank is not None and p.state != "done" and blank.blank not in bench.begun:
        need = thickness_need(least_thicknesses(blank, bench.plan.pieces, job), board.stress == "tested", job.shop)
        if need + warp_loss(board, blank.length, blank.width) > board.thickness + EPS:
            return "its blank is too thick for what was measured now"
    return None


def set_key(job: Job, entry: BoardPlan, piece: Piece) -> tuple[str, ...] | None:
    """What stands or falls together with the piece: its book pair, its slip set or run; None where it stands alone."""
    part = job.part_named.get(piece.part)
    if part is None or part.match is None or part.match_kind not in ("book", "slip", "run"):
        return None
    return (part.match, piece.set or "") if part.match_kind == "book" else (part.match,)


def spread(s: Standing, names: Iterable[str], begun_too: bool) -> frozenset[str]:
    """The pieces named and all tied to them: through their set, and through a blank not begun yet (with `begun_too`
    also through one that is)."""
    sets: dict[tuple[str, ...], list[str]] = {}
    blanks: dict[tuple[str, str], list[str]] = {}
    ties: dict[str, list[list[str]]] = {}
    for entry, p in s.plan.pieces():
        groups = []
        key = set_key(s.job, entry, p)
        if key is not None:
            groups.append(sets.setdefault(key, []))
        if begun_too or p.blank not in s.benches[entry.board].begun:
            groups.append(blanks.setdefault((entry.board, p.blank), []))
        for g in groups:
            g.append(p.piece)
        ties[p.piece] = groups
    found: set[str] = set()
    waiting = [n for n in names if n in ties]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += [n for g in ties[name] for n in g]
    return frozenset(found)


def broken_sets(s: Standing) -> frozenset[str]:
    """Pieces whose set lacks a member: one half of a book pair is no pair, a run with a gap is no run."""
    whole: dict[tuple[str, ...], list[Piece]] = {}
    for entry, p in s.plan.pieces():
        key = set_key(s.job, entry, p)
        if key is not None:
            whole.setdefault(key, []).append(p)
    broken: set[str] = set()
    for members in whole.values():
        part = s.job.part_named[members[0].part]
        full = 2 if part.match_kind == "book" else sum(q.qty for q in s.job.parts if q.match == part.match)
        if len(members) < full:
            broken |= {p.piece for p in members}
    return frozenset(broken)


def lost(s: Standing) -> tuple[frozenset[str], dict[str, str]]:
    """Every piece that has to be made anew or is not asked for any more, and why for those that a defect hit or a wish moves."""
    why = {**against_wishes(s.job, s.plan, s.benches), **unfit(s), **hit(s)}
    dropped = {p.piece for _, p in s.plan.pieces() if not wanted(s.job, p)}
    first = set(why) | dropped | broken_sets(s)
    return spread(s, first, begun_too=False), why


def with_whole_groups(s: Standing, gone: frozenset[str], missing: Iterable[str]) -> frozenset[str]:
    """`gone`, and all pieces of each colour group of which a part in `missing` found no place: the board that the group was
    begun on has no wood left for the rest of it, so the whole group has to come from another, finished pieces too."""
    short = set(missing)
    groups = {p.match for p in s.job.parts if p.match_kind == "board" and p.match is not None and p.name in short}
    if not groups:
        return gone
    members = [p.piece for _, p in s.plan.pieces() if p.part in s.job.part_named and s.job.part_named[p.part].match in groups]
    return gone | spread(s, members, begun_too=False)


def round_about(s: Standing, gone: frozenset[str]) -> frozenset[str]:
    """What may be laid out anew if only boards that are hit are, and those that help most: of each species that is lost
    the `HELPERS` boards of the plan with most wood to spare."""
    hit_boards = {e.board for e, p in s.plan.pieces() if p.piece in gone}
    species = {s.job.board_named[n].species for n in hit_boards}

    def spare(name: str) -> Fraction:
        bench = s.benches[name]
        used = sum((b.length * b.width for b in bench.plan.blanks), Fraction(0))
        return bench.board.area - used

    for kind in species:
        others = [n for n, b in s.benches.items() if b.board.species == kind and n not in hit_boards]
        hit_boards |= set(sorted(others, key=spare, reverse=True)[:HELPERS])
    away = frozenset(p.piece for e, p in s.plan.pieces() if e.board not in hit_boards and p.piece not in gone)
    tied = spread(s, away, begun_too=False)
    return (movable(s, gone) - tied) | gone


def movable(s: Standing, gone: frozenset[str]) -> frozenset[str]:
    """Pieces that may be laid out anew: all but those in blanks begun and those that form a set with them."""
    begun = [p.piece for e, p in s.plan.pieces() if p.piece not in gone and p.blank in s.benches[e.board].begun]
    fixed = spread(s, begun, begun_too=False)
    return frozenset(p.piece for _, p in s.plan.pieces() if p.piece not in fixed) | gone
