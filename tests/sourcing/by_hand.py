"""Jobs whose answer can be worked by hand: flawless flat boards of one size, for the tests of sourcing."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction as F

from yieldopt.ground.deadline import Deadline
from yieldopt.sourcing.asked import Asked
from yieldopt.sourcing.purchase.smallest import Purchase
from yieldopt.sourcing.studied import Study
from yieldopt.sourcing.study import study
from yieldopt.wood.lumber import Job, Part, PriceLine


def line(quarters: str, nominal: F, price: int, grade: str = "clear", species: str = "oak") -> PriceLine:
    """Boards of 6 by 96 in: 4 board feet at 4/4, 8 at 8/4."""
    return PriceLine("Hand", species, quarters, nominal, grade, F(price), F(96), F(96), F(6), F(6))


BOTH = (line("4/4", F(1), 4), line("8/4", F(2), 5))


def slats(thickness: F, qty: int, *lines: PriceLine) -> Job:
    """Parts 5 3/4 by 21 1/2: rough 6 by 22 1/2, so that four lie end to end on a board (four and three kerfs make
    90 3/8 in, between two end trims 92)."""
    return Job("by hand", "in", (Part("slat", qty, "oak", thickness, F(23, 4), F(43, 2)),), (), prices=lines)


# Plans of a study, and seconds that no test reaches.
PLANS, NO_END = 40, 86_400.0


def added(s: Study) -> Purchase:
    """What the study says to add to the rack."""
    assert s.purchases is not None
    assert s.purchases.added is not None
    assert s.purchases.added.purchase is not None
    return s.purchases.added.purchase


def silent(_: str) -> None:
    """Progress that nobody reads."""


def studied(job: Job, asked: Asked, until: str) -> Study:
    """The study in threads, stopped as soon as its progress says `until`: plans are counted, no clock decides anything."""
    deadline = Deadline(NO_END)

    def say(line: str) -> None:
        if line.startswith(until):
            deadline.stop()

    with ThreadPoolExecutor(2) as threads:
        return study(job, replace(asked, seconds=NO_END, steps=PLANS), say, deadline, threads)
