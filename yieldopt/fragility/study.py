"""Many draws of one plan: its chance of finishing from the stock in hand, and the parts most likely to fail."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from yieldopt.ground.deadline import Deadline
from yieldopt.luck.chance import share_error
from yieldopt.luck.play import Game, Order, Outcome, Rules, play
from yieldopt.luck.rates import Rates
from yieldopt.replanning.lost import standing
from yieldopt.replanning.noted import noted
from yieldopt.replanning.surprise import Surprise
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan
from yieldopt.workers.runner import Runner

# Called after each few draws: what is studied, draws made, draws wanted, of these finished.
Watcher = Callable[[str, int, int, int], None]
# Draws handed to a process at once, and seconds that they may take.
CHUNK, CHUNK_SECONDS = 5, 60.0


@dataclass(frozen=True)
class Candidate:
    """A plan, the order its boards are cut in, and how many of each part finish the job."""

    name: str
    job: Job
    plan: Plan
    need: Mapping[str, int]
    order: Order = "planned"


@dataclass(frozen=True)
class Chance:
    """What the draws of one candidate came to, draw by draw."""

    candidate: Candidate
    outcomes: tuple[Outcome, ...]

    @property
    def draws(self) -> int:
        return len(self.outcomes)

    @property
    def finished(self) -> int:
        return sum(o.finished for o in self.outcomes)

    @property
    def share(self) -> float:
        """Chance of finishing; 0 without draws."""
        return self.finished / self.draws if self.draws else 0.0

    @property
    def error(self) -> float:
        """Standard error of the chance."""
        return share_error(self.share, self.draws)

    @property
    def failing(self) -> Counter[str]:
        """Draws in which a part had no place in the end."""
        return Counter(part for o in self.outcomes for part in o.missing)

    @property
    def losing(self) -> Counter[str]:
        """Draws in which a piece of a part was lost on the way."""
        return Counter(part for o in self.outcomes for part in o.lost)

    def cost(self) -> float | None:
        """Mean net cost over the draws that finished."""
        costs = [o.cost for o in self.outcomes if o.finished]
        return sum(costs) / len(costs) if costs else None


@dataclass(frozen=True)
class Task:
    """Some draws of a candidate, for a process of their own: each from the beginning, or from where it got stuck."""

    candidate: Candidate
    rates: Rates
    seed: str
    games: tuple[tuple[int, Game], ...]


def play_some(task: Task, deadline: Deadline | None = None) -> list[Outcome]:
    """The draws of a task, one after the other."""
    rules = _rules(task.candidate, task.rates, deadline)
    return [play(game, rules, task.seed, number) for number, game in task.games]


def _rules(c: Candidate, rates: Rates, deadline: Deadline | None) -> Rules:
    rules = Rules(c.need, c.order, rates, noted(c.plan, Surprise()), deadline=deadline)
    # Whole boards are replayed once for all draws.
    standing(c.job, c.plan, rules.notes, rules.known)
    return rules


def beginning(c: Candidate) -> Game:
    """All boards uncut but for what the plan says; parts that have no place from the start are not looked for."""
    return Game(without_unplaced(c.job, c.plan), c.plan)


def without_unplaced(job: Job, plan: Plan) -> Job:
    """The job without parts of which no piece has a place."""
    none = {u.part for u in plan.unplaced if u.qty >= job.part_named[u.part].qty}
    if not none:
        return job
    pins = tuple(q for q in job.pins if q.piece.rpartition("#")[0] not in none)
    return replace(job, parts=tuple(p for p in job.parts if p.name not in none), pins=pins)


def study(
    candidate: Candidate,
    rates: Rates,
    draws: int,
    seed: str,
    deadline: Deadline,
    watch: Watcher | None = None,
    runner: Runner | None = None,
) -> Chance:
    """Play up to `draws` draws until the deadline; the same seed draws the same luck for every candidate.

    With a `runner` draws go to its processes, a few at a time. Where time is up only draws before the first that is not
    done count: those that fail take longest, so counting whichever is done would flatter.
    """
    start = beginning(candidate)
    games = [(n, start) for n in range(draws)]
    found = played(candidate, rates, seed, games, deadline, watch, runner)
    outcomes = []
    for n in range(draws):
        if n not in found:
            break
        outcomes.append(found[n])
    return Chance(candidate, tuple(outcomes))


def played(
    candidate: Candidate,
    rates: Rates,
    seed: str,
    games: Sequence[tuple[int, Game]],
    deadline: Deadline,
    watch: Watcher | None = None,
    runner: Runner | None = None,
) -> dict[int, Outcome]:
    """The outcomes by draw, as many as are done until the deadline."""
    found: dict[int, Outcome] = {}

    def take(outcomes: Iterable[Outcome]) -> None:
        for o in outcomes:
            found[o.number] = o
            if watch is not None:
                watch(candidate.name, len(found), len(games), sum(x.finished for x in found.values()))

    if runner is None:
        rules = _rules(candidate, rates, deadline)
        for number, game in games:
            if deadline.over:
                break
            outcome = play(game, rules, seed, number)
            # One that was cut short says nothing.
            take([outcome] if outcome.finished or not deadline.over else [])
        return found
    chunks = (Task(candidate, rates, seed, tuple(games[k : k + CHUNK])) for k in range(0, len(games), CHUNK))
    for _, outcomes in runner.run(play_some, enumerate(chunks), deadline, CHUNK_SECONDS):
        take(outcomes)
    return found


def gain(better: Chance, than: Chance) -> tuple[float, float]:
    """How much likelier the one finishes than the other on the draws both had, with the standard error of paired draws."""
    pairs = [int(a.finished) - int(b.finished) for a, b in zip(better.outcomes, than.outcomes, strict=False)]
    n = len(pairs)
    if n < 2:
        return (float(sum(pairs)), 1.0)
    mean = sum(pairs) / n
    spread = sum((p - mean) ** 2 for p in pairs) / (n - 1)
    # Never nothing: as if one more draw had gone the other way.
    return mean, max((spread / n) ** 0.5, 1 / (n + 1))
