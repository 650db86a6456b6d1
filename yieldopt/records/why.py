"""What `plan.json` says about a plan's reasons, in lines: boards not cut, the tightest pieces, what one more board should be."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from yieldopt.ground.lengths import MM_PER_INCH, Units, marked
from yieldopt.records.sections import BoardWanted, NotReached, OneMore, Reasons, Tight, Tightest
from yieldopt.wood.plan import Plan, Section

# What the time did not reach is named in these words.
PARTS, BOARDS, MORE, SECOND = (
    "which parts conflict", "why boards are not cut", "what one more board should be like", "second choices"
)  # fmt: skip
# Sections that hold for one plan only.
WHY: tuple[type[Section], ...] = (Reasons, Tightest, OneMore, NotReached)
# Boards not cut that are printed one by one, and tightest pieces.
MOST_BOARDS = 12
MOST_TIGHT = 3

SQUARE_METRES_PER_SQUARE_FOOT = float((12 * MM_PER_INCH / 1000) ** 2)


def reasons_of(plan: Plan) -> Mapping[str, str]:
    """Why each board that the plan does not cut is left, by board."""
    found = plan.section(Reasons)
    cut = {b.board for b in plan.boards}
    return {k: v for k, v in found.value.items() if k not in cut} if found else {}


def one_more_lines(plan: Plan) -> list[str]:
    """One line for each board that would place missing parts."""
    found = plan.section(OneMore)
    return [_one_more(b, plan.units) for b in found.value] if found else []


def _one_more(b: BoardWanted, units: Units) -> str:
    parts = ", ".join(f"{n} x {name}" for name, n in b.parts.items())
    sawn = "" if b.sawn == "any" else f"{b.sawn}-sawn "
    wood = f"{sawn}{b.species} of {b.quarters} ({marked(b.thickness, units)} once warp is off)"
    sizes = [f"{marked(s.length, units)} x {marked(s.width, units)}" for s in b.sizes]
    if not sizes:
        least = f"{marked(b.least.length, units)} x {marked(b.least.width, units)}"
        area = float(b.square_feet)
        feet = f"{area:.1f} square feet" if units == "in" else f"{area * SQUARE_METRES_PER_SQUARE_FOOT:.2f} m²"
        feet += " of parts in the rough"
        many = "more than one board is" if b.settled else "one more board or several are"
        return f"{many} needed for {parts}: {wood}, clear, {feet}, none under {least} for the largest"
    named = "; the parts list would have to name it under `from`" if b.named else ""
    return f"one more board would do for {parts}: {wood}, clear, at least {' or '.join(sizes)}{named}"


def not_reached(plan: Plan) -> list[str]:
    """What the plan's file says that the time did not reach."""
    found = plan.section(NotReached)
    return list(found.value) if found else []


def spare_words(length: Fraction, units: Units) -> str:
    """So much, in words where it is too little to print."""
    text = marked(length, units)
    if length <= 0:
        return "nothing"
    return "less than can be measured" if text.lstrip("~") == marked(Fraction(0), units) else text


def why_lines(plan: Plan) -> list[str]:
    """The report's lines: what one more board should be like, boards not cut, the tightest pieces."""
    lines = one_more_lines(plan)
    reasons = list(reasons_of(plan).items())
    lines += [f"not cut: {board}: {why}" for board, why in reasons[:MOST_BOARDS]]
    if len(reasons) > MOST_BOARDS:
        more = len(reasons) - MOST_BOARDS
        lines.append(f"not cut: {more} more boards, each with its reason under `{Reasons.KEY}` in plan.json")
    tight = plan.section(Tightest)
    return lines + [_tight(p, plan.units) for p in (tight.value if tight else ())[:MOST_TIGHT]]


def _tight(p: Tight, units: Units) -> str:
    sizes = (("thickness", p.thickness), ("width", p.width), ("length", p.length))
    spare = ", ".join(f"{spare_words(size, units)} of {name}" for name, size in sizes)
    return f"tightest: {p.piece} on {p.board} has {spare} to spare"
