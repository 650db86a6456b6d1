"""Is this enough? A search in a process of its own that keeps the best plan and gets better for as long as somebody looks.

Rounds take turns, so that several questions get on beside each other. Each round's plan has passed the independent check before
it counts; one that the check refuses is never shown.
"""

from __future__ import annotations

import threading
import time
import uuid
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field, replace
from fractions import Fraction

from yieldopt.ground.errors import CheckFailed, YieldoptError
from yieldopt.web.missing import NothingHere
from yieldopt.wood.lumber import Board, Job

# Seconds of each round's search; the last one is repeated, each time with another seed.
ROUNDS = (2.0, 4.0, 8.0, 15.0)
# A round is as long at least where there are many boards: making them ready takes most of the first.
LEAST_OF_MANY = 6.0
# Boards that the first rounds look at, where there are more, and rounds after which twice as many are looked at: the more boards,
# the later a search has a place for every piece.
FEW, TWICE_AFTER = 60, 2
# Seconds for reasons and shopping lines, where parts are missing.
REASONS = 2.0
# Seconds of search in all, and after which nobody is thought to look any more.
LONGEST = 300.0
LOOKED = 30.0
# Rounds after which a search whose every plan the check refused is given up.
MOST_REFUSED = 2
# Questions that may be under way at once, and answers that are remembered.
MOST_LIVE = 6
MOST_KNOWN = 32


class Busy(YieldoptError):
    """Too much is going on; ask again in a while."""


@dataclass(frozen=True)
class Found:
    """What one round found: a checked plan in figures, or what the check said against it."""

    missing: tuple[tuple[str, int, str], ...] = ()
    net_cost: float = 0.0
    boards: tuple[str, ...] = ()
    shopping: tuple[str, ...] = ()
    # Nothing better can come: proven best.
    ended: bool = False
    # Of `missing`: parts for which no layout of the kinds considered has a place.
    certain: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()

    @property
    def rank(self) -> tuple[int, float]:
        """Less is better."""
        return sum(qty for _, qty, _ in self.missing), self.net_cost


def searched(job: Job, seconds: float, seed: int) -> Found:
    """One round, in the process of the search: plan, check, reasons."""
    from yieldopt.planned.checked import plan_checked
    from yieldopt.planning.reasons.missing import settled
    from yieldopt.records.why import one_more_lines

    some = shortlist(job, FEW * 2 ** (seed // TWICE_AFTER))
    try:
        result = plan_checked(some, seconds=seconds, seed=seed, after=REASONS)
    except CheckFailed as error:
        return Found(refused=error.breaches)
    plan = result.plan
    missing = tuple((u.part, u.qty, u.why) for u in plan.unplaced)
    cut = tuple(b.board for b in plan.boards)
    # Of some of the boards nothing is proven of all.
    whole = some is job
    certain = tuple(part for part, _, why in missing if whole and settled(why))
    shopping = tuple(one_more_lines(plan)) if whole else ()
    return Found(missing, plan.totals.net_cost, cut, shopping, whole and result.ended == "optimal", certain)


def shortlist(job: Job, most: int) -> Job:
    """The job on about `most` of its boards where there are more: those it names, and of each species and thickness that it may
    be cut from the same number, those with most wood between flaws. A plan on some of the boards is one on all, and is found
    long before one that looks at thousands."""
    if len(job.boards) <= most:
        return job
    named = {b for p in job.parts for b in p.sources} | {pin.board for pin in job.pins}
    wanted = {p.species for p in job.parts}
    kinds: dict[tuple[str, Fraction], list[Board]] = {}
    for b in job.boards:
        if b.species in wanted and b.name not in job.leave:
            kinds.setdefault((b.species, b.nominal), []).append(b)
    share = max(1, most // max(1, len(kinds)))
    kept = named | {b.name for boards in kinds.values() for b in sorted(boards, key=_clear_area, reverse=True)[:share]}
    return replace(job, boards=tuple(b for b in job.boards if b.name in kept))


def _clear_area(board: Board) -> Fraction:
    """What is left of it where each flaw is crosscut out with as much again, for comparing boards."""
    return board.width * max(Fraction(0), board.length - 2 * sum((d.length for d in board.defects), Fraction(0)))


@dataclass
class Ask:
    """One question and what is known by now."""

    name: str
    job: Job
    chosen: int
    held: tuple[tuple[str, str], ...]
    unknown: int
    state: str = "waiting"
    best: Found | None = None
    # Parts that some round proved to have no place, whatever lies elsewhere: part -> reason.
    certain: dict[str, str] = field(default_factory=dict)
    rounds: int = 0
    seconds: float = 0.0
    better: int = 0
    error: str | None = None
    looked: float = 0.0
    changed: threading.Condition = field(default_factory=threading.Condition)

    @property
    def wanted(self) -> int:
        """Pieces of the job."""
        return sum(p.qty for p in self.job.parts)

    @property
    def lacking(self) -> int:
        """Pieces without a place in the best plan."""
        return self.best.rank[0] if self.best is not None else self.wanted

    @property
    def answer(self) -> str:
        """yes, no or not known."""
        if self.best is not None and not self.best.missing:
            return "yes"
        return "no" if self.certain else "not known"

    @property
    def words(self) -> str:
        """The answer in a line."""
        if self.answer == "yes" and self.best is not None:
            boards = len(self.best.boards)
            return f"Yes: all {self.wanted} pieces have a place, on {boards} {'board' if boards == 1 else 'boards'}."
        if self.certain:
            return f"No: {', '.join(self.certain)} can't come from these boards."
        if self.best is None:
            return f"Not known: {self.error}." if self.error else "Not known yet: the search has just begun."
        so_far = f"{self.lacking} of {self.wanted} pieces have no place"
        if self.state == "done":
            return f"Not known: {so_far} after {self.seconds:.0f} seconds, and nothing proves that there is none."
        return f"Not known yet: {so_far} so far; the search goes on."


class Asking:
    """The questions of one run of the page. `submit` runs a round elsewhere, one at a time in the order given."""

    def __init__(self, submit: Callable[[Job, float, int], Future[Found]], clock: Callable[[], float] = time.monotonic) -> None:
        self._submit, self._clock = submit, clock
        self._lock = threading.RLock()
        self._asks: OrderedDict[str, Ask] = OrderedDict()

    def ask(self, job: Job, chosen: int, held: tuple[tuple[str, str], ...], unknown: int) -> Ask:
        """Begin a question, or join one about the same job and boards. Raises `Busy` where too many are under way."""
        with self._lock:
            same = next((a for a in self._asks.values() if a.job == job and a.held == held and a.state != "done"), None)
            if same is not None:
                same.looked = self._clock()
                return same
            if sum(a.state != "done" for a in self._asks.values()) >= MOST_LIVE:
                raise Busy("other questions are being worked on; ask again in a minute")
            new = Ask(uuid.uuid4().hex, job, chosen, held, unknown, looked=self._clock())
            self._asks[new.name] = new
            while len(self._asks) > MOST_KNOWN:
                self._asks.pop(next(n for n, a in self._asks.items() if a.state == "done"))
            self._next(new)
            return new

    def look(self, name: str) -> Ask:
        """How a question stands; looking keeps its search going. Raises `NothingHere`."""
        with self._lock:
            ask = self._asks.get(name)
            if ask is None:
                raise NothingHere
            ask.looked = self._clock()
            return ask

    def _next(self, ask: Ask) -> None:
        seconds = ROUNDS[min(ask.rounds, len(ROUNDS) - 1)]
        if len(ask.job.boards) > FEW:
            seconds = max(seconds, LEAST_OF_MANY)
        try:
            future = self._submit(ask.job, seconds, ask.rounds)
        except RuntimeError:
            # The page is being stopped.
            self._end(ask, "the page was stopped")
            return
        future.add_done_callback(lambda done: self._come(ask, done, seconds))

    def _come(self, ask: Ask, done: Future[Found], seconds: float) -> None:
        with self._lock:
            if done.cancelled():
                self._end(ask, "the page was stopped")
                return
            error = done.exception()
            if error is not None:
                known = isinstance(error, YieldoptError)
                self._end(ask, str(error) if known else f"the search broke off ({type(error).__name__})")
                return
            found = done.result()
            ask.state, ask.rounds, ask.seconds = "running", ask.rounds + 1, ask.seconds + seconds
            if found.refused:
                ask.error = f"the independent check refused a plan, which is a fault of the program: {'; '.join(found.refused)}"
            else:
                self._better(ask, found)
            proven = ask.best is not None and ask.best.ended and not ask.best.missing
            looked = self._clock() - ask.looked <= LOOKED
            hopeless = ask.best is None and ask.rounds >= MOST_REFUSED
            if proven or ask.answer == "no" or not looked or hopeless or ask.seconds >= LONGEST:
                self._end(ask, ask.error)
            else:
                self._next(ask)
            with ask.changed:
                ask.changed.notify_all()

    @staticmethod
    def _better(ask: Ask, found: Found) -> None:
        ask.certain |= {part: why for part, _, why in found.missing if part in found.certain}
        if ask.best is None or found.rank < ask.best.rank:
            ask.better += ask.best is not None
            ask.best = found

    def _end(self, ask: Ask, error: str | None) -> None:
        ask.state, ask.error = "done", error
        with ask.changed:
            ask.changed.notify_all()
