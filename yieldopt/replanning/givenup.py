"""Names that a job has used up: of blanks, cuts and kept offcuts that an earlier plan had and a later one has no more.

They may still be chalked on the wood or stuck to it, so they never mean anything else in that job. Kept in `plan.json` under
`given_up`, one entry a board.
"""

from __future__ import annotations

from dataclasses import dataclass

from yieldopt.records.sections import GivenUp, NamesGone
from yieldopt.wood.plan import BoardPlan, Plan


@dataclass(frozen=True)
class Names:
    """Names of one board's blanks and offcuts and numbers of its cuts."""

    blanks: frozenset[str] = frozenset()
    cuts: frozenset[int] = frozenset()
    offcuts: frozenset[str] = frozenset()

    def __or__(self, other: Names) -> Names:
        return Names(self.blanks | other.blanks, self.cuts | other.cuts, self.offcuts | other.offcuts)

    def __sub__(self, other: Names) -> Names:
        return Names(self.blanks - other.blanks, self.cuts - other.cuts, self.offcuts - other.offcuts)

    def __and__(self, other: Names) -> Names:
        return Names(self.blanks & other.blanks, self.cuts & other.cuts, self.offcuts & other.offcuts)

    def __bool__(self) -> bool:
        return bool(self.blanks or self.cuts or self.offcuts)


NONE = Names()


def names_of(entry: BoardPlan | None) -> Names:
    """What a board's plan calls its things."""
    if entry is None:
        return NONE
    return Names(
        frozenset(b.blank for b in entry.blanks),
        frozenset(c.order for c in entry.cuts),
        frozenset(o.offcut for o in entry.offcuts),
    )


def given_up(plan: Plan) -> dict[str, Names]:
    """By board what the plan remembers."""
    said = plan.section(GivenUp)
    found: dict[str, Names] = {}
    for n in said.value if said else ():
        found[n.board] = found.get(n.board, NONE) | Names(frozenset(n.blanks), frozenset(n.cuts), frozenset(n.offcuts))
    return found


def giving_up(old: Plan, new: Plan) -> Plan:
    """The new plan with what it has to remember: all that the old one remembered, and its names that the new one has not."""
    before, after = {b.board: b for b in old.boards}, {b.board: b for b in new.boards}
    known = given_up(old)
    listed = []
    for name in dict.fromkeys([*known, *before]):
        gone = known.get(name, NONE) | (names_of(before.get(name)) - names_of(after.get(name)))
        if gone:
            listed.append(NamesGone(name, tuple(sorted(gone.blanks)), tuple(sorted(gone.cuts)), tuple(sorted(gone.offcuts))))
    return new.silent_on(GivenUp).saying(*([GivenUp(tuple(listed))] if listed else []))
