"""Clear-face estimate: the grade a board's cuttings would support, judged from the defects logged on it.

Help in checking what was paid for. Only an inspector's grade is a grade: rectangles logged at the rack miss what an
inspector sees, and species exceptions and what `data/grades.toml` marks as unverified are not settled here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from yieldopt.trade import limits
from yieldopt.trade.cuttings import FaceYield, best_cuttings, full_width_cuttings
from yieldopt.trade.faces import SIDES, Side, clear_share, not_clear, not_sound, other
from yieldopt.trade.grades import BELOW_GRADE, ORDER, FaceRule, TwoFaceRule, face_rules, kiln_dried_width, two_face_rules
from yieldopt.trade.tally import HalfRounder, HalfRule, surface_measure, tally_width
from yieldopt.wood.lumber import Board
from yieldopt.wood.rectangles import Rect

# Grades that ask the same of both faces, best first.
FACE_GRADES = tuple(g for g in ORDER if g in face_rules())

SPECIES_NOTES = {
    "alder": "red alder is graded from the better face by its own rules, and pin knots are no defect there (AHEC)",
    "walnut": "walnut is graded by easier rules: smaller boards and cuttings make FAS (AHEC)",
    "cherry": "in cherry gum is not counted and pin knots to 1/8 in are admitted in clear cuttings (Timber Trades Journal, 2008)",
}


@dataclass(frozen=True, slots=True)
class FaceResult:
    """What one face yields by one grade's rule."""

    side: Side
    grade: str
    # Whether the cuttings suffice.
    made: bool
    cuttings: tuple[Rect, ...]
    # Cutting units found, and needed the way they were counted.
    units: Fraction
    needed: Fraction
    # Number of cuttings allowed; None: unlimited.
    allowed: int | None


@dataclass(frozen=True, slots=True)
class Estimate:
    """The estimate for one board."""

    board: Board
    # Surface measure as tallied, feet.
    surface: int
    # The best grade that the logged faces would support, or BELOW_GRADE.
    grade: str
    # The face the grade is judged from: the lower grade by itself, at equal grades fewer cutting units.
    poor: Side
    # Each face by itself: the best grade its own cuttings reach, both faces counted for soundness.
    alone: dict[Side, FaceResult]
    # Share of the poor face in the cuttings, and clear of counted defects, 0 to 1.
    in_cuttings: Fraction
    clear: Fraction
    # For each better grade, why it is not that.
    why_not: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def estimate(board: Board, surface: int | None = None, kiln_dried: bool = True, half: HalfRule = "alternate") -> Estimate:
    """Estimate a board's grade; `surface` is its surface measure as tallied, worked out here where it is None."""
    if surface is None:
        surface = HalfRounder(half).round(surface_measure(tally_width(board), board.length))
    judge = _Judge(board, surface, kiln_dried)
    alone = {side: judge.alone(side) for side in SIDES}
    poor = max(SIDES, key=lambda s: (_rank(alone[s].grade), -alone[s].units))
    grade, why_not = judge.grade()
    notes = tuple(n for wood, n in SPECIES_NOTES.items() if wood in board.species.casefold().split())
    notes += _season_checks(board, surface, kiln_dried, grade)
    area = board.area
    covered = sum((c.area for c in alone[poor].cuttings), Fraction(0))
    share = covered / area if area else Fraction(0)
    return Estimate(board, surface, grade, poor, alone, share, clear_share(board, poor), tuple(why_not), notes)


def _season_checks(board: Board, surface: int, kiln_dried: bool, grade: str) -> tuple[str, ...]:
    """What the board would be if its checks are season checks that the rules admit; nothing where that changes nothing.

    Sound cuttings admit "season checks not materially impairing the strength of a cutting" (NHLA Rules Corner, January 2020,
    par. 31: https://www.nhla.com/rc01022021/). The words for clear-face cuttings could not be read.
    """
    rest = tuple(d for d in board.defects if d.kind != "check")
    if len(rest) == len(board.defects):
        return ()
    without, _ = _Judge(replace(board, defects=rest), surface, kiln_dried).grade()
    if without == grade:
        return ()
    return (
        f"its checks count against it; where they are season checks that don't weaken a cutting, which sound cuttings admit, it "
        f"may be {without} (for clear-face cuttings the rules' words were not read)",
    )


def _rank(grade: str) -> int:
    return ORDER.index(grade) if grade in ORDER else len(ORDER)


@dataclass
class _Judge:
    board: Board
    surface: int
    kiln_dried: bool
    _results: dict[tuple[Side, str, bool], FaceResult] = field(default_factory=dict)

    def face(self, side: Side, rule: FaceRule, sound_back: bool) -> FaceResult:
        """What a face yields by a rule; `sound_back`: the reverse of every cutting must be sound."""
        key = (side, rule.grade, sound_back)
        if key not in self._results:
            self._results[key] = self._yield(side, rule, sound_back)
        return self._results[key]

    def alone(self, side: Side) -> FaceResult:
        """The best grade a face reaches by its own cuttings."""
        results = [self.face(side, face_rules()[FACE_GRADES[0]], True)]
        for grade in FACE_GRADES:
            rule = face_rules()[grade]
            result = self.face(side, rule, True)
            results.append(result)
            if result.made and not self._size(rule) and not self._limits(grade, side):
                return result
        last = results[-1]
        return FaceResult(side, BELOW_GRADE, False, last.cuttings, last.units, last.needed, last.allowed)

    def grade(self) -> tuple[str, list[tuple[str, str]]]:
        """The best grade of the board and why it is none of the better ones."""
        why_not: list[tuple[str, str]] = []
        for grade in ORDER:
            reasons = self._both(face_rules()[grade]) if grade in face_rules() else self._two_faces(two_face_rules()[grade])
            if not reasons:
                return grade, why_not
            why_not.append((grade, "; ".join(reasons)))
        return BELOW_GRADE, why_not

    def _both(self, rule: FaceRule) -> list[str]:
        reasons = self._size(rule)
        if reasons:
            return reasons
        for side in SIDES:
            reasons += _short(self.face(side, rule, True)) + [f"face {side}: {r}" for r in self._limits(rule.grade, side)]
        if reasons and rule.grade == "No. 3A Common" and self._three_a_otherwise():
            return []
        return reasons

    def _three_a_otherwise(self) -> bool:
        """No. 2A Common on the better face with sound backs makes No. 3A too (chart)."""
        return any(self.face(side, face_rules()["No. 2A Common"], True).made for side in SIDES)

    def _two_faces(self, rule: TwoFaceRule) -> list[str]:
        reasons = self._size(rule)
        if reasons:
            return reasons
        tries = [self._better_and_poor(rule, better) for better in SIDES]
        return min(tries, key=len)

    def _better_and_poor(self, rule: TwoFaceRule, better: Side) -> list[str]:
        poor = other(better)
        wane = limits.f1f_poor_face if rule.grade == "F1F" else limits.selects
        small = self.surface in rule.small
        above = self._small_selects(better, rule) if small else self.face(better, face_rules()[rule.better], False)
        below = self.face(poor, face_rules()[rule.poor], False)
        found = _short(above) + [f"face {better}: {r}" for r in self._limits(rule.better, better)] + _short(below)
        return found + [f"face {poor}: {r}" for r in self._limits(rule.poor, poor) + wane(self.board, poor)]

    def _small_selects(self, side: Side, rule: TwoFaceRule) -> FaceResult:
        defects = not_clear(self.board, side)
        base = face_rules()[rule.better]
        found = best_cuttings(self.board, base, defects, [1])[1]
        needed = rule.small[self.surface] * self.surface
        return FaceResult(side, rule.better, not defects or found.units >= needed, found.cuttings, found.units, needed, 1)

    def _yield(self, side: Side, rule: FaceRule, sound_back: bool) -> FaceResult:
        if rule.kind == "sound":
            defects = not_sound(self.board, side) + not_sound(self.board, other(side))
        else:
            defects = not_clear(self.board, side) + (not_sound(self.board, other(side)) if sound_back else ())
        ways = rule.ways(self.surface)
        found = best_cuttings(self.board, rule, defects, [n for n, _ in ways]) if self.surface else {}
        full = self._full_width(side, rule, defects)
        for number, needed in ways if self.surface else ():
            if found[number].units >= needed:
                return FaceResult(side, rule.grade, True, found[number].cuttings, found[number].units, needed, number)
        if full is not None:
            return full
        if not ways or not self.surface:
            return FaceResult(side, rule.grade, False, (), Fraction(0), rule.units * self.surface, 0)
        number, needed = ways[0]
        return FaceResult(side, rule.grade, False, found[number].cuttings, found[number].units, needed, number)

    def _full_width(self, side: Side, rule: FaceRule, defects: Sequence[Rect]) -> FaceResult | None:
        if rule.full_width is None:
            return None
        low, high, units, number = rule.full_width
        if not (low <= self.surface <= high and tally_width(self.board) >= rule.board_width):
            return None
        found: FaceYield = full_width_cuttings(self.board, defects, number)
        needed = units * self.surface
        return FaceResult(side, rule.grade, True, found.cuttings, found.units, needed, number) if found.units >= needed else None

    def _size(self, rule: FaceRule | TwoFaceRule) -> list[str]:
        width = rule.board_width - (kiln_dried_width() if self.kiln_dried else 0)
        if tally_width(self.board) < width or self.board.length < rule.board_length:
            return [f"smaller than {float(width):g} in by {float(rule.board_length / 12):g} ft"]
        return []

    def _limits(self, grade: str, side: Side) -> list[str]:
        if grade == "FAS":
            return limits.fas(self.board, side, self.surface)
        return limits.no_1_common(self.board, side) if grade == "No. 1 Common" else []


def _short(result: FaceResult) -> list[str]:
    if result.made:
        return []
    allowed = "any number of" if result.allowed is None else str(result.allowed)
    return [f"face {result.side}: {float(result.units):.2f} of {float(result.needed):g} units in {allowed} cuttings"]
