"""What `plan.json` says about a plan's reasons, in lines: boards not cut, the tightest pieces, what one more board should be.

A file may come from another program: what can't be read is passed over.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from yieldopt.lengths import MM_PER_INCH, Units, from_number, marked
from yieldopt.plan import Plan

# Keys of `plan.json` that hold for one plan only.
REASONS, TIGHTEST, ONE_MORE = "reasons", "tightest", "one_more"
# What the time did not reach, in these words.
NOT_REACHED = "not_reached"
PARTS, BOARDS, MORE, SECOND = (
    "which parts conflict", "why boards are not cut", "what one more board should be like", "second choices"
)  # fmt: skip
WHY_KEYS = (REASONS, TIGHTEST, ONE_MORE, NOT_REACHED)
# Boards not cut that are printed one by one, and tightest pieces.
MOST_BOARDS = 12
MOST_TIGHT = 3
SPARE = ("thickness", "width", "length")

SQUARE_METRES_PER_SQUARE_FOOT = float((12 * MM_PER_INCH / 1000) ** 2)

def reasons_of(plan: Plan) -> Mapping[str, str]:
    """Why each board that the plan does not cut is left, by board."""
    found: Any = (plan.extra or {}).get(REASONS)
    cut = {b.board for b in plan.boards}
    return {str(k): str(v) for k, v in found.items() if k not in cut} if isinstance(found, Mapping) else {}


def one_more_lines(plan: Plan) -> list[str]:
    """One line for each board that would place missing parts."""
    found: Any = (plan.extra or {}).get(ONE_MORE)
    lines = []
    for entry in found if isinstance(found, list) else ():
        try:
            lines.append(_one_more(entry, plan.units))
        except (KeyError, TypeError, ValueError, AttributeError):
            continue
    return lines


def _one_more(entry: Mapping[str, Any], units: Units) -> str:
    def length(name: str, of: Mapping[str, Any]) -> str:
        return marked(from_number(of[name], units), units)

    parts = ", ".join(f"{int(n)} x {name}" for name, n in entry["parts"].items())
    sawn = "" if entry["sawn"] == "any" else f"{entry['sawn']}-sawn "
    wood = f"{sawn}{entry['species']} of {entry['quarters']} ({length('thickness', entry)} once warp is off)"
    sizes = [f"{length('length', s)} x {length('width', s)}" for s in entry["sizes"]]
    if not sizes:
        least = f"{length('length', entry['least'])} x {length('width', entry['least'])}"
        area = float(entry["square_feet"])
        feet = f"{area:.1f} square feet" if units == "in" else f"{area * SQUARE_METRES_PER_SQUARE_FOOT:.2f} m²"
        feet += " of parts in the rough"
        many = "more than one board is" if entry.get("settled", True) else "one more board or several are"
        return f"{many} needed for {parts}: {wood}, clear, {feet}, none under {least} for the largest"
    named = "; the parts list would have to name it under `from`" if entry.get("named") else ""
    return f"one more board would do for {parts}: {wood}, clear, at least {' or '.join(sizes)}{named}"


def not_reached(plan: Plan) -> list[str]:
    """What the plan's file says that the time did not reach."""
    found: Any = (plan.extra or {}).get(NOT_REACHED)
    return [str(f) for f in found] if isinstance(found, list) else []


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
        lines.append(f"not cut: {len(reasons) - MOST_BOARDS} more boards, each with its reason under `{REASONS}` in plan.json")
    found: Any = (plan.extra or {}).get(TIGHTEST)
    for p in (found if isinstance(found, list) else [])[:MOST_TIGHT]:
        try:
            spare = ", ".join(f"{spare_words(from_number(p[of], plan.units), plan.units)} of {of}" for of in SPARE)
            lines.append(f"tightest: {p['piece']} on {p['board']} has {spare} to spare")
        except (KeyError, TypeError, ValueError, AttributeError):
            continue
    return lines
