"""What boards of a grade are like. Fitted so that clear strips come out as published.

A board of a grade has the cuttings that the grading rule asks for (see `regions`); flaws lie in the rest. Published:
clear-two-face strips make 70 % of FAS, 59 % of No. 1 Common, 43 % of No. 2A Common, 30 % of No. 3A Common
(woodworkingnetwork.com, Why is lumber yield decreasing); 8/4 yields 8 points less than 4/4, 5/4 5 points less
(woodworkingnetwork.com, Improving yield). Defects take 1.2 % of the face of FAS, 6.8 % of No. 1 Common, 9.8 % of No. 2A
Common (red oak, Forest Products Journal, 1995): what is lost is lost by where they lie. The rates `flaws`, their sizes and
`THICKER` are fitted to both; no area was found for No. 3A Common nor for thicker stock, which is taken to have its grade's.
The kinds of flaws and their shapes are an inference, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from yieldopt.trade.grades import SQUARE_INCHES_PER_UNIT, FaceRule, face_rules


@dataclass(frozen=True, slots=True)
class GradeWood:
    """Boards of one grade."""

    name: str
    # Share of the board's area that comes out as clear strips of two faces, as published; None: not a published grade.
    published: float | None
    # Flaws a square foot of what the grade's cuttings leave, both faces together (most go through), at 4/4.
    flaws: float
    # The most that the cuttings come to, as a share of the face: what the next better grade asks for.
    upto: float = 1.0
    # Mean length and width of a flaw, inches (exponential, at least 1/4 in).
    flaw_length: float = 2.5
    flaw_width: float = 1.0
    # Whether boards warp and crook.
    warps: bool = True
    # Flaws of its thicker stock are so much smaller than those of other grades' thicker stock.
    thick_size: float = 1.0

    @property
    def rule(self) -> FaceRule:
        """The grading rule of its faces."""
        return face_rules()[self.name]

    @property
    def least(self) -> float:
        """Share of the face that the rule asks for in cuttings."""
        return float(self.rule.units) / SQUARE_INCHES_PER_UNIT


CLEAR = GradeWood("clear", None, 0.0, warps=False)
FAS = GradeWood("FAS", 0.70, 35.0, 1.0, 1.42, 0.57, thick_size=0.75)
NO_1 = GradeWood("No. 1 Common", 0.59, 19.2, 10 / 12, 2.75, 1.1)
NO_2 = GradeWood("No. 2A Common", 0.43, 50.0, 8 / 12, 1.4, 0.56)
NO_3 = GradeWood("No. 3A Common", 0.30, 24.0, 6 / 12)
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

# Thicker stock against 4/4, from which nominal thickness in inches (stock by the millimetre runs beside the quarters): how many
# flaws and how large (length and width alike), as multiples, and how much of the way from the least share of cuttings to the
# most its boards reach; fitted to the published drop with the defect area of the grade left as it is, since the grading rule
# is the same for every thickness.
THICKER = ((Fraction(15, 8), 1.6, 0.6, 0.25), (Fraction(9, 8), 1.3, 0.75, 0.5), (Fraction(0), 1.0, 1.0, 1.0))


def wood_of(grade: str) -> tuple[GradeWood, bool]:
    """The boards a dealer's word stands for, and whether the word is known (unknown ones are taken as No. 1 Common)."""
    found = NAMES.get(" ".join(grade.casefold().split()))
    return (found or NO_1, found is not None)


def flaws_outside(wood: GradeWood, nominal: Fraction) -> float:
    """Flaws a square foot of what the cuttings of a board of a nominal thickness in inches leave."""
    return wood.flaws * _thicker(nominal)[0]


def most_clear(wood: GradeWood, nominal: Fraction) -> float:
    """The most that the cuttings of a board of a nominal thickness in inches come to, as a share of its face."""
    return wood.least + (wood.upto - wood.least) * _thicker(nominal)[2]


def flaw_rate(wood: GradeWood, nominal: Fraction) -> float:
    """Flaws a square foot of the whole face, on average, for stock of a nominal thickness in inches."""
    return flaws_outside(wood, nominal) * (1 - (wood.least + most_clear(wood, nominal)) / 2) if wood.flaws else 0.0


def sized(wood: GradeWood, nominal: Fraction) -> GradeWood:
    """The grade with the sizes that flaws have in stock of a nominal thickness in inches."""
    size = _thicker(nominal)[1] * (wood.thick_size if nominal >= THICKER[-2][0] else 1.0)
    return wood if size == 1 else replace(wood, flaw_length=wood.flaw_length * size, flaw_width=wood.flaw_width * size)


def _thicker(nominal: Fraction) -> tuple[float, float, float]:
    return next((flaws, size, reach) for least, flaws, size, reach in THICKER if nominal >= least)
