"""What a study and a search for a robust plan found, in lines of text and for `plan.json`."""

from __future__ import annotations

from yieldopt.fragility.reserve import Bought, Reserve
from yieldopt.fragility.robust import keeps
from yieldopt.fragility.study import Chance, gain
from yieldopt.records.sections import BoardsInReserve
from yieldopt.records.sections import Reserve as Record


def percent(chance: Chance) -> str:
    return f"{100 * chance.share:.0f} % (± {100 * chance.error:.1f}, {chance.draws} trials)"


# Parts told of, beyond those that some draw ends without.
MOST_LOST = 5


def at_risk(first: Chance) -> list[str]:
    """Every part that some draw ends without, those oftenest lacking first, then those of which most pieces are lost."""
    failing = [part for part, _ in sorted(first.failing.items(), key=lambda x: (-x[1], x[0]))]
    others = [part for part, _ in first.losing.most_common() if part not in first.failing]
    return failing + others[: max(0, MOST_LOST - len(failing))]


def told(first: Chance, others: list[Chance]) -> list[str]:
    """The chance of the plan as it is, what it loses, and what raises it."""
    lines = [f"chance of finishing from the stock in hand: {percent(first)}"]
    without = ", ".join(f"{u.qty} x {u.part}" for u in first.candidate.plan.unplaced)
    if without:
        lines.append(f"not counted, since they have no place to begin with: {without}")
    for part in at_risk(first):
        lost, short = (100 * some.get(part, 0) / first.draws for some in (first.losing, first.failing))
        lines.append(f"  {part}: a piece is lost in {lost:.0f} % of the trials, no wood is left for it in {short:.0f} %")
    for o in sorted(others, key=lambda o: -gain(o, first)[0]):
        if o.draws:
            more, error = gain(o, first)
            extra = o.candidate.plan.totals.net_cost - first.candidate.plan.totals.net_cost
            lines.append(f"{o.candidate.name}: {100 * more:+.0f} points (± {100 * error:.1f}), net cost {extra:+.2f}")
    return lines


def robust_told(
    first: Chance,
    best: Chance,
    tested: Chance,
    target: float,
    reserve: Reserve | None,
    bought: Reserve | None,
    late: bool = False,
) -> list[str]:
    """The plan chosen, on the draws that chose it and on fresh ones; and what to buy where the stock is too little. `late`: the
    search ran out of time, so that not all was tried."""
    extra = best.candidate.plan.totals.net_cost - first.candidate.plan.totals.net_cost
    lines = [f"robust plan: {best.candidate.name}; {percent(best)} on the trials that chose it, {percent(tested)} on fresh ones"]
    lines.append(f"it costs {extra:+.2f} beside the plan as it is")
    if best.share < target:
        why = "not all was tried in the time, give it more --seconds" if late else "the stock in hand is too little for that"
        lines.append(f"no plan found has a chance of {100 * target:g} %: {why}")
        lines += [f"  lacking most often: {part}" for part, _ in best.failing.most_common(3)]
        lines += _buying(reserve, bought, target)
    elif not keeps(tested, target):
        lines.append("on fresh trials it falls short of that chance by more than chance explains; try again with more --draws")
    return lines


def _buying(reserve: Reserve | None, bought: Reserve | None, target: float) -> list[str]:
    if reserve is None:
        return ["  no board to be bought was found that helps in the time"]
    what = [
        f"  buy in reserve: {b.count} x {b.line.species} {b.line.quarters} {b.line.grade}, for {_parts(b)}"
        for b in reserve.bought
    ]
    fresh = "" if bought is None else f", {percent(bought.chance)} on fresh ones"
    short = "" if reserve.chance.share >= target else "; more boards than that were not tried, or did not help"
    return [
        *what,
        f"  about {reserve.board_feet:.0f} board feet, {reserve.cost:.2f}, cut only where your boards run out: "
        f"{percent(reserve.chance)}{fresh}{short}",
    ]


def _parts(bought: Bought) -> str:
    return ", ".join(p.name for p in bought.parts)


def in_file(bought: Reserve | None) -> Record | None:
    """What to buy as it stands in `plan.json`."""
    if bought is None:
        return None
    return Record(
        tuple(
            BoardsInReserve(b.line.species, b.line.quarters, b.line.grade, tuple(p.name for p in b.parts), b.count)
            for b in bought.bought
        ),
        round(bought.board_feet, 1),
        round(bought.cost, 2),
        round(bought.chance.share, 4),
        round(bought.chance.error, 4),
    )
