"""Plan again: the state of the job, what is lost, the ways on, and the one that is worth its changes."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from threading import Event

from yieldopt.checking import check
from yieldopt.ground.deadline import Deadline
from yieldopt.ground.errors import CheckFailed
from yieldopt.ground.names import whole_of
from yieldopt.records.sections import History, Robust, SecondChoices
from yieldopt.records.why import WHY
from yieldopt.replanning.candidate import NothingMore, WholePlan, proven, shown, way_on, whole_parts
from yieldopt.replanning.compare import Change, changes, marks_kept
from yieldopt.replanning.givenup import giving_up
from yieldopt.replanning.hits import spoils, spoils_offcut, thrown_in
from yieldopt.replanning.lost import Standing, lost, movable, round_about, standing, wanted, with_whole_groups
from yieldopt.replanning.noted import noted, remembered
from yieldopt.replanning.spent import only_recorded, recorded
from yieldopt.replanning.spent import told as told_of
from yieldopt.replanning.state import changed_job, marked, renamed
from yieldopt.replanning.surprise import Surprise
from yieldopt.replanning.wood import overlap
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import BoardPlan, Plan, Section

# Money that rubbing out one chalk line and drawing another is worth: half a minute at a shop's hourly rate.
# Common practice, no source.
MARK_PRICE = 0.5
# Keys of a plan's file that are about that plan alone: the course of its search, its other places, its chance.
OF_ONE_PLAN: tuple[type[Section], ...] = (History, SecondChoices, Robust, *WHY)
# Seconds of a search whose steps are counted.
NO_END = 86_400.0
# Share of the time for the way that changes least; what it leaves goes to the one that lays out only the boards that are hit
# and those that help.
LEAST_SHARE = 0.25
# Share of what is left of the time that a colour group whole from another board gets, and of the whole that the last ways get
# in any case where parts are missing: a person waits longer for a place than for a better plan.
REGROUPING, AT_LEAST = 0.5, 0.1


# What each way touches, as it is printed.
LEAST, WHOLE_GROUPS = "only what is lost", "what is lost, a colour group whole from another board"
ROUND_ABOUT, ALL_ANEW = "the boards that are hit and those that help", "all that is not begun"


@dataclass(frozen=True)
class Shown:
    """One way on in figures."""

    what: str
    missing: int
    net_cost: float
    # Chalk lines of the old plan that stay, and how many it had.
    stay: int
    of: int
    taken: bool


@dataclass(frozen=True)
class Replanned:
    """The job with the defects found in it, the plan of what is left, and what to tell the shop."""

    job: Job
    plan: Plan
    # Finished pieces that a found defect hits: they stay in the plan, and why.
    hit_done: tuple[tuple[str, str], ...]
    # Pieces that are planned anew or have no place any more, and why.
    lost: tuple[tuple[str, str], ...]
    # Finished pieces that are of no use any more, and why: the other half of a pair is lost, the part is another now.
    set_aside: tuple[tuple[str, str], ...]
    # Pieces that count under another name from now on: old name, new name.
    renamed: tuple[tuple[str, str], ...]
    # Pieces that good wood of a spoiled piece serves.
    served: tuple[str, ...]
    changes: tuple[Change, ...]
    # Blanks that are spent now, though cuts were made inside them which only the record keeps: one sentence each.
    spent: tuple[str, ...] = ()
    # What the independent check found in ways on that were passed over for it: faults of the program.
    refused: tuple[str, ...] = ()
    # The ways that were worked out, the least change first; none where nothing had to be planned anew.
    ways: tuple[Shown, ...] = ()
    # Those that the time did not reach, in the same words.
    skipped: tuple[str, ...] = ()


def replan(
    job: Job,
    plan: Plan,
    surprise: Surprise,
    *,
    seconds: float = 3.0,
    seed: int = 0,
    mark_price: float = MARK_PRICE,
    steps: int | None = None,
) -> Replanned:
    """Mark what is done and plan the rest again within `seconds`, or by `steps` of the search for each way on, the same on any
    machine; `mark_price` is money a chalk line that changes.

    Where nothing is lost the layout stays as it is; where nothing changed at all, so does the revision, which
    otherwise goes up by one. Raises `CheckFailed` if the independent check refuses every plan found.
    """
    began = time.monotonic()
    before_job, job = job, changed_job(job, surprise)
    notes = noted(plan, surprise)
    state, names = renamed(job, marked(before_job, plan, surprise))
    s = standing(job, state, notes)
    gone, why = lost(s)
    refused: list[str] = []
    ways: list[WholePlan] = []
    skipped: tuple[str, ...] = ()
    # Good wood told of just now may serve a part that is planned elsewhere; told of before, it had its chance.
    best = None if surprise.good else _unchanged(s, gone)
    if best is None or check(job, best.plan):
        ways, skipped = _ways(s, gone, seconds if steps is None else NO_END, seed, steps)
        best, refused = _best(job, plan, ways, mark_price)
        if best is None:
            # Leaving out what is lost is always a way.
            ways = [replace(way_on(s, gone, True, 0.0, seed), what=LEAST)]
            best, more = _best(job, plan, ways, mark_price)
            refused += more
        if best is None:
            raise CheckFailed(refused)
    new = giving_up(plan, recorded(state, remembered(best.plan, notes)))
    new = replace(new, totals=replace(new.totals, seconds=round(time.monotonic() - began, 3)))
    changed = changes(plan, new)
    if _same(plan, new) and not names and job == before_job and _said(new) == _said(plan):
        new = plan
    else:
        new = replace(new.silent_on(*OF_ONE_PLAN), revision=plan.revision + 1)
    there = {whole_of(p.piece) for _, p in new.pieces()}
    finished = {p.piece for _, p in state.pieces() if p.state == "done"}
    still = {p.piece for _, p in new.pieces() if p.state == "done"}
    aside = sorted(finished - still)
    tied = "it lay in one blank or set with a piece that is lost"
    reasons = {p.piece: why.get(p.piece, tied) for _, p in state.pieces() if p.piece in gone and wanted(job, p)}
    reasons.update((names.get(n, n), surprise.why.get(n, "spoiled")) for n in _spoiled_now(plan, state, names))
    told = tuple(
        (n, w if whole_of(n) in there else f"{w}; it has no place now") for n, w in sorted(reasons.items()) if n not in aside
    )
    hit = dict(_hit_done(s, surprise)) | {names.get(n, n): w for n, w in surprise.hit_done.items()}
    new_names = tuple((a, b) for a, b in names.items() if whole_of(b) in there)
    served = _served(s, new)
    no_use = tuple((n, why.get(n, "no use by itself, since what it belongs with is lost")) for n in aside)
    in_record = tuple(told_of(only_recorded(state, new)))
    still_hit = tuple((n, w) for n, w in hit.items() if n in still)
    figures = tuple(_shown(plan, w, w is best) for w in ways)
    return Replanned(job, new, still_hit, told, no_use, new_names, served, changed, in_record, tuple(refused), figures, skipped)


def _shown(old: Plan, way: WholePlan, taken: bool) -> Shown:
    stay, of = marks_kept(old, changes(old, way.plan))
    return Shown(way.what, way.missing, way.plan.totals.net_cost, stay, of, taken)


def _ways(
    s: Standing, gone: frozenset[str], seconds: float, seed: int, steps: int | None
) -> tuple[list[WholePlan], tuple[str, ...]]:
    """The least change, the boards that are hit and those that help, everything movable anew; and a colour group whole
    where its board has no wood for the rest. With the names of those that the time did not reach."""
    deadline = Deadline(seconds)
    least = seconds * LEAST_SHARE
    ways = [replace(way_on(s, gone, True, least, seed, until=NothingMore(), steps=steps), what=LEAST)]
    # It sets finished pieces aside, which the bound of the others takes for settled.
    regrouped: list[WholePlan] = []
    whole = with_whole_groups(s, gone, [u.part for u in ways[0].plan.unplaced])
    if whole != gone:
        # Before the freer ways, which may find no place for the rest of the group in the time.
        share = max(AT_LEAST * seconds, REGROUPING * deadline.left)
        again = way_on(s, whole, True, share, seed, until=NothingMore(), steps=steps)
        if again.missing < ways[0].missing:
            regrouped.append(replace(again, what=WHOLE_GROUPS))
    middle, free = round_about(s, gone), movable(s, gone)
    others = ([ROUND_ABOUT] if gone < middle < free else []) + [ALL_ANEW]
    # A large job may have no time for more; then nothing is proven, and what is found has to do.
    if deadline.over and not all(w.missing for w in (*ways, *regrouped)):
        return [_proven_to(w, None) for w in (*ways, *regrouped)], tuple(others)
    left = max(AT_LEAST * seconds, deadline.left)
    done = Event()
    with ThreadPoolExecutor(1) as beside:
        try:
            # The freest way takes longest: it goes on beside the middle one.
            freest = beside.submit(way_on, s, free, False, left, seed, until=lambda p: proven(p) or done.is_set(), steps=steps)
            if ROUND_ABOUT in others:
                ways.append(replace(way_on(s, middle, False, left, seed, until=NothingMore(), steps=steps), what=ROUND_ABOUT))
            ways.append(replace(freest.result(), what=ALL_ANEW))
        finally:
            done.set()
    # What the freest way on can't beat, none can that keeps what is finished.
    return [_proven_to(w, ways[-1].bound) for w in ways] + [_proven_to(w, None) for w in regrouped], ()


def _proven_to(way: WholePlan, bound: float | None) -> WholePlan:
    """The way with what is proven about it: nothing where parts are missing."""
    t = way.plan.totals
    if bound is None or way.plan.unplaced:
        figures = replace(t, bound=None, gap=None)
    else:
        below = min(bound, t.net_cost)
        figures = replace(t, bound=round(below, 6), gap=(t.net_cost - below) / t.net_cost if t.net_cost > 0 else 0.0)
    return replace(way, bound=bound, plan=replace(way.plan, totals=figures))


def _served(s: Standing, new: Plan) -> tuple[str, ...]:
    """Pieces of the new plan that lie in wood of a spoiled one."""
    spent = {b.board: b.spoiled for b in s.plan.boards}
    return tuple(
        p.piece
        for e, p in new.pieces()
        if any(x.layer == p.layer and x.layers == p.layers and overlap(x, p) for x in spent.get(e.board, ()))
    )


def _best(job: Job, old: Plan, ways: list[WholePlan], mark_price: float) -> tuple[WholePlan | None, list[str]]:
    """The way that misses least and then costs least with its changed lines; what the check refused in any."""
    refused: list[str] = []

    def rank(way: WholePlan) -> tuple[int, float]:
        lines = sum(len(c.rub_out) for c in changes(old, way.plan))
        return way.missing, way.plan.totals.net_cost + mark_price * lines

    for way in sorted(ways, key=rank):
        findings = check(job, way.plan, old)
        if not findings:
            return way, refused
        refused += [str(f) for f in findings]
    return None, refused


def _unchanged(s: Standing, gone: frozenset[str]) -> WholePlan | None:
    """The plan with its marks, where nothing is lost, missing anew or worth less."""
    for b in s.benches.values():
        if any(spoils_offcut(b.board, o) for o in b.plan.offcuts if o.kept):
            return None
        # A blank may hold nothing but spent wood: it has no piece to lose, and yet it may not be machined.
        if any(thrown_in(s.job, b.board, blank, b.plan) for blank in b.plan.blanks):
            return None
    if gone:
        return None
    whole = whole_parts(s.job, s.plan.boards)
    missing = {p.name: p.qty - len(whole.get(p.name, ())) for p in s.job.parts if p.qty > len(whole.get(p.name, ()))}
    if missing != {u.part: u.qty for u in s.plan.unplaced}:
        return None
    return WholePlan(replace(s.plan, boards=tuple(shown(s.job, e) for e in s.plan.boards)), sum(missing.values()), None)


def _said(plan: Plan) -> dict[str, Section]:
    """Its sections, in whatever order."""
    return {s.key: s for s in plan.sections}


def _same(old: Plan, new: Plan) -> bool:
    def body(b: BoardPlan) -> tuple[object, ...]:
        return b.board, b.cuts, b.blanks, b.pieces, b.offcuts, b.spoiled

    return [body(b) for b in old.boards] == [body(b) for b in new.boards] and old.unplaced == new.unplaced


def _spoiled_now(old: Plan, state: Plan, names: dict[str, str]) -> list[str]:
    back = {new: old for old, new in names.items()}
    left = {back.get(p.piece, p.piece) for _, p in state.pieces()}
    return [p.piece for _, p in old.pieces() if p.piece not in left]


def _hit_done(s: Standing, surprise: Surprise) -> list[tuple[str, str]]:
    told = []
    for name, found in surprise.found.items():
        bench = s.benches.get(name)
        for p in bench.plan.pieces if bench else ():
            if p.state == "done" and p.part in s.job.part_named:
                bad = [d for d in spoils(s.job, bench.board, p) if d in found]  # type: ignore[union-attr]
                if bad:
                    told.append((p.piece, f"{' and '.join(dict.fromkeys(d.kind for d in bad))} found in it on {name}"))
    return told
