"""The chance of a plan on a job small enough to reckon by hand (invented data): it must be what the rates say."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction as F

import pytest
from rails import CERTAIN, planned

from yieldopt.fragility.robust import needed
from yieldopt.fragility.study import Candidate, gain, study, without_unplaced
from yieldopt.ground.deadline import Deadline
from yieldopt.luck.rates import Rates
from yieldopt.wood.lumber import Part
from yieldopt.workers.runner import Runner
from yieldopt.workers.serial import Serial


def test_without_surprises_every_draw_finishes(tight: Candidate) -> None:
    chance = study(tight, CERTAIN, 5, "0", Deadline(86_400))
    assert (chance.share, chance.draws) == (1.0, 5)
    assert 0 < chance.error < 0.25
    assert not chance.losing


def test_the_chance_is_that_of_the_rates(tight: Candidate, roomy: Candidate) -> None:
    """A piece spoiled with chance p: one board finishes with 1 - p, two with 1 - p^2."""
    rates = Rates(hidden=0.0, spoiled=0.3)
    thin = rates.spoils("ash", False, False)
    assert thin == 0.3
    for candidate, exact in ((tight, 0.7), (roomy, 1 - 0.3**2)):
        chance = study(candidate, rates, 120, "exact", Deadline(86_400))
        assert chance.draws == 120
        assert abs(chance.share - exact) < 4 * math.sqrt(exact * (1 - exact) / 120)


def test_the_same_seed_draws_the_same_luck(roomy: Candidate) -> None:
    rates = Rates(hidden=2.0, spoiled=0.2)
    first, second = (study(roomy, rates, 6, "s", Deadline(86_400)).outcomes for _ in range(2))
    assert first == second
    assert study(roomy, rates, 6, "t", Deadline(86_400)).outcomes != first


def test_a_deadline_keeps_the_draws_made(roomy: Candidate) -> None:
    deadline = Deadline(86_400)
    chance = study(roomy, CERTAIN, 50, "0", deadline, lambda _n, made, _w, _f: deadline.stop() if made == 3 else None)
    assert chance.draws == 3


def test_losses_and_failures_are_counted_by_part(tight: Candidate) -> None:
    chance = study(tight, Rates(hidden=0.0, spoiled=0.5), 40, "0", Deadline(86_400))
    assert chance.losing["rail"] == chance.failing["rail"] == 40 - chance.finished > 0


def test_a_gain_is_measured_on_the_same_draws(tight: Candidate, roomy: Candidate) -> None:
    rates = Rates(hidden=0.0, spoiled=0.4)
    a, b = (study(c, rates, 40, "0", Deadline(86_400)) for c in (roomy, tight))
    more, error = gain(a, b)
    assert more == pytest.approx(a.share - b.share)
    assert 0 < error < 0.2


def test_processes_draw_the_same_as_one_draw_after_the_other(roomy: Candidate) -> None:
    rates = Rates(hidden=2.0, spoiled=0.2)
    alone = study(roomy, rates, 12, "s", Deadline(86_400))
    with Runner(Serial(), workers=2) as runner:
        handed = study(roomy, rates, 12, "s", Deadline(86_400), runner=runner)
    assert handed.outcomes == alone.outcomes


def test_parts_without_a_place_from_the_start_are_not_looked_for(tight: Candidate) -> None:
    """Two rails wanted and wood for one: the job to finish is that of the one."""
    oak = Part("shelf", 1, "oak", F(3, 4), F(4), F(30))
    job = replace(tight.job, parts=(*tight.job.parts, oak))
    plan = planned(job)
    assert [u.part for u in plan.unplaced] == ["shelf"]
    assert [p.name for p in without_unplaced(job, plan).parts] == ["rail"]
    chance = study(Candidate("as planned", job, plan, needed(job, plan)), CERTAIN, 4, "0", Deadline(86_400))
    assert chance.share == 1.0
