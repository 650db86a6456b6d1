"""Names that stay: what lies where it lay keeps its name or number, and what is new takes one that the job never had.

A name is chalked on wood. So of a board that is laid out anew, a blank or kept offcut over the same rectangle and a cut along
the same line go by their old names.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import count

from yieldopt.ground.names import lettered
from yieldopt.replanning.givenup import NONE, Names, given_up, names_of
from yieldopt.replanning.wood import saw, whole_board
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Blank, BoardPlan, Cut, Offcut, Plan

Place = tuple[object, ...]


def with_lasting_names(job: Job, old: Plan, boards: Sequence[BoardPlan]) -> list[BoardPlan]:
    """The new plan's boards with the names that the old one gave to what stays."""
    before, gone = {b.board: b for b in old.boards}, given_up(old)
    return [_named(job, before.get(e.board), e, gone.get(e.board, NONE)) for e in boards]


def _named(job: Job, old: BoardPlan | None, new: BoardPlan, gone: Names) -> BoardPlan:
    if old is new or (old is None and not gone):
        return new
    taken = gone | names_of(old)
    blanks = _blank_names(new, {_blank_place(b): b.blank for b in (old.blanks if old else ())}, taken)
    offcuts = _offcuts(new, {_offcut_place(o): o.offcut for o in (old.offcuts if old else ())}, taken)
    numbers = _numbers(job, old, new, taken)
    cuts = [replace(c, order=numbers[c.order], blank=blanks.get(c.blank or "", c.blank)) for c in new.cuts]
    return replace(
        new,
        cuts=tuple(sorted(cuts, key=lambda c: c.order)),
        blanks=tuple(replace(b, blank=blanks[b.blank]) for b in new.blanks),
        pieces=tuple(replace(p, blank=blanks.get(p.blank, p.blank)) for p in new.pieces),
        offcuts=offcuts,
        spoiled=tuple(replace(s, blank=blanks.get(s.blank or "", s.blank)) for s in new.spoiled),
    )


def _blank_place(b: Blank) -> Place:
    return b.x, b.y, b.length, b.width, b.layers, b.thicknesses


def _offcut_place(o: Offcut) -> Place:
    return o.x, o.y, o.length, o.width, o.layer, o.layers


def _blank_names(new: BoardPlan, there: dict[Place, str], taken: Names) -> dict[str, str]:
    fresh = (n for n in (f"{new.board}-{lettered(k)}" for k in count(1)) if n not in taken.blanks)
    return {b.blank: there.get(_blank_place(b)) or next(fresh) for b in new.blanks}


def _offcuts(new: BoardPlan, there: dict[Place, str], taken: Names) -> tuple[Offcut, ...]:
    fresh: Iterator[str] = (n for n in (f"{new.board}-offcut-{k}" for k in count(1)) if n not in taken.offcuts)
    return tuple(replace(o, offcut=there.get(_offcut_place(o)) or next(fresh)) for o in new.offcuts)


def _numbers(job: Job, old: BoardPlan | None, new: BoardPlan, taken: Names) -> dict[int, int]:
    """From the planner's number of each cut to the one that the sheet gives it: the old one of a cut that stays, unless a cut
    that is new has to come before it; and above all that were ever given for the others, in their order."""
    was = {key: c.order for c, key in _lines(old)} if old else {}
    keys = {c.order: key for c, key in _lines(new)}
    done = {c.order for c in new.cuts if c.state == "done"}
    # What is cut is cut, even if the record now calls it a cut of the board that was one of a blank.
    kept = {order: was[key] for order, key in keys.items() if key in was} | {order: order for order in done}
    before = _before(job, new)
    while late := {o for o in kept if o not in done and any(p not in kept or kept[p] > kept[o] for p in before[o])}:
        kept = {o: n for o, n in kept.items() if o not in late}
    numbers = _filled(new, kept, taken)
    if _same_wood(job, new, numbers):
        return numbers
    return _filled(new, {o: n for o, n in kept.items() if o in done}, taken)


def _filled(new: BoardPlan, kept: dict[int, int], taken: Names) -> dict[int, int]:
    top = max(taken.cuts, default=0)
    fresh = count(top + 1)
    return {c.order: kept[c.order] if c.order in kept else next(fresh) for c in sorted(new.cuts, key=lambda c: c.order)}


def _lines(entry: BoardPlan) -> Iterator[tuple[Cut, Place]]:
    """Each cut with what makes it the same cut in another plan of the board: the same saw along the same line, in the same
    blank where it is made in one."""
    places = {b.blank: _blank_place(b) for b in entry.blanks}
    for c in entry.cuts:
        yield c, (c.stage, c.kind, c.at, c.start, c.end, c.layer, places.get(c.blank or "", c.blank))


def _before(job: Job, entry: BoardPlan) -> dict[int, set[int]]:
    """By cut those that have to come before it: of the rough cuts that part its wood those the other way, which it ends at,
    for cuts side by side may be made in any order; for a cut in a blank all that free the blank and those made in it earlier
    in the same layer; for all others the two that part the strip for a stress test."""
    rough = sorted((c for c in entry.cuts if c.stage == "rough"), key=lambda c: c.order)
    kind = {c.order: c.kind for c in rough}
    leaves, parted = saw(whole_board(job.board_named[entry.board]), rough)
    before = {c.order: {o for o in parted.get(c.order, ()) if kind[o] != c.kind} for c in rough}
    freed = {b.blank: next((set(w.cuts) for w in leaves if w.holds(b)), set()) for b in entry.blanks}
    inside = [c for c in sorted(entry.cuts, key=lambda c: c.order) if c.stage != "rough"]
    for k, c in enumerate(inside):
        earlier = {e.order for e in inside[:k] if e.blank == c.blank and (e.layer == c.layer or None in (e.layer, c.layer))}
        before[c.order] = freed.get(c.blank or "", set()) | earlier
    first = {c.order for c in entry.stress_strip.cuts(entry.cuts)} if entry.stress_strip is not None else set()
    return {order: needed if order in first else needed | first for order, needed in before.items()}


def _same_wood(job: Job, entry: BoardPlan, numbers: dict[int, int]) -> bool:
    """Do the rough cuts, made by these numbers, leave what they leave by the planner's?"""
    rough = [c for c in entry.cuts if c.stage == "rough"]
    start = whole_board(job.board_named[entry.board])
    left = [sorted((w.x0, w.x1, w.y0, w.y1) for w in saw(start, cuts)[0]) for cuts in (rough, _numbered(rough, numbers))]
    return left[0] == left[1]


def _numbered(cuts: Sequence[Cut], numbers: dict[int, int]) -> list[Cut]:
    return [replace(c, order=numbers[c.order]) for c in cuts]
