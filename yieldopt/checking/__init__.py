"""The independent check: does a plan keep every rule of its job? It shares no code with what made the plan.

Knows values and the plan, and nothing of planning. Begin reading in `finding.py`, then `pieces.py`.
"""

from __future__ import annotations

from yieldopt.checking import (  # noqa: F401  importing a rule module enters its rules in the list
    blanks,
    cuts,
    defects,
    freed,
    matching,
    money,
    names,
    pieces,
    places,
    records,
    runs,
    strips,
)
from yieldopt.checking.context import RULES, Context
from yieldopt.checking.finding import CODES, Finding
from yieldopt.checking.strips import untested
from yieldopt.checking.words import check_words
from yieldopt.wood.lumber import Job
from yieldopt.wood.plan import Plan

__all__ = ["CODES", "Finding", "check", "untested"]


def check(job: Job, plan: Plan, before: Plan | None = None) -> tuple[Finding, ...]:
    """Every breach of every rule, ordered by code, then board; empty when the plan keeps them all. `before` is the plan that
    it follows, with which its names are compared.

    Never stops early and raises nothing for a plan that `yieldopt.wood.plan.loads` has read, however wrong it is.
    """
    mended, found = check_words(plan)
    context = Context(job, mended, before)
    for _, rule in RULES:
        found.extend(rule(context))
    return tuple(sorted(found, key=lambda f: (f.code, f.board or "")))
