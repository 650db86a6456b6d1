"""What boards of a grade are like: how often a flaw, how large. Fitted so that clear strips come out as published.

Published: clear-two-face strips make 70 % of FAS, 59 % of No. 1 Common, 43 % of No. 2A Common, 30 % of No. 3A Common
(woodworkingnetwork.com, Why is lumber yield decreasing); 8/4 yields 8 points less than 4/4, 5/4 5 points less
(woodworkingnetwork.com, Improving yield). Only the rates `flaws` and the factors `THICKER` are fitted; the sizes and kinds
of flaws are an inference, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class GradeWood:
    """Boards of one grade."""

    name: str
    # Share of the board's area that comes out as clear strips of two faces, as published; None: not a published grade.
    published: float | None
    # Flaws a square foot of surface (both faces together; most go through), at 4/4.
    flaws: float
    # Mean length and width of a flaw, inches (exponential, at least 1/4 in).
    flaw_length: float = 2.5
    flaw_width: float = 1.0
    # Whether boards warp and crook.
    warps: bool = True


CLEAR = GradeWood("clear", None, 0.0, warps=False)
FAS = GradeWood("FAS", 0.70, 0.98)
NO_1 = GradeWood("No. 1 Common", 0.59, 2.49)
NO_2 = GradeWood("No. 2A Common", 0.43, 5.33)
NO_3 = GradeWood("No. 3A Common", 0.30, 8.3)
GRADES = (FAS, NO_1, NO_2, NO_3)

# How dealers write grades, in lower case. `select` is taken as FAS, a plain `common` as No. 1 Common, `quarter` and `rift`
# (no grade at all) as FAS: common practice, no source. `clear` is for working by hand: no flaws, flat boards.
NAMES: dict[str, GradeWood] = {
    "clear": CLEAR,  # no flaws
    **dict.fromkeys(
        ("fas", "f1f", "fas1f", "select", "selects", "select and better", "fas/select", "prime", "quarter", "rift"), FAS
    ),
    **dict.fromkeys(("common", "no. 1 common", "no 1 common", "no.1c", "no. 1c", "1c", "1 common", "#1 common", "#1"), NO_1),
    **dict.fromkeys(
        ("no. 2 common", "no. 2a common", "no.2c", "no. 2c", "2c", "2a", "2 common", "#2 common", "#2", "rustic", "character"),
        NO_2,
    ),
    **dict.fromkeys(("no. 3 common", "no. 3a common", "no.3a", "no. 3a", "3a", "#3 common", "#3", "pallet"), NO_3),
}

# Flaws in thicker stock against 4/4, from which nominal thickness in inches; fitted to the published drop.
THICKER = ((Fraction(2), 1.60), (Fraction(5, 4), 1.32), (Fraction(0), 1.0))


def wood_of(grade: str) -> tuple[GradeWood, bool]:
    """The boards a dealer's word stands for, and whether the word is known (unknown ones are taken as No. 1 Common)."""
    found = NAMES.get(" ".join(grade.casefold().split()))
    return (found or NO_1, found is not None)


def flaw_rate(wood: GradeWood, nominal: Fraction) -> float:
    """Flaws a square foot of surface for stock of a nominal thickness in inches."""
    return wood.flaws * next(f for least, f in THICKER if nominal >= least)
