"""What a person marks on a rough board: the step that rough cuts are on where the wood allows. Lengths are `Fraction` inches."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.ground.lengths import MM_PER_INCH
from yieldopt.wood.lumber import Job

# Chalk and a rule on rough stock: an eighth of an inch, or a millimetre. Common practice, no source.
MARKS = {"in": Fraction(1, 8), "mm": 1 / MM_PER_INCH}
# The narrowest strip and the shortest end that is worth a saw cut. Common practice, no source: what is narrower is jointed
# off in a few passes, and a sliver beside the blade is caught by it.
LEAST = {"in": Fraction(1, 4), "mm": 6 / MM_PER_INCH}
# The finest figure a tape shows.
FINEST = {"in": Fraction(1, 64), "mm": Fraction(1, 10) / MM_PER_INCH}


def mark_of(job: Job) -> Fraction:
    """Rough cuts lie on multiples of this where they can; 0: wherever the plan puts them."""
    return MARKS[job.units] if job.shop.marks.mark is None else job.shop.marks.mark


def least_strip(job: Job) -> Fraction:
    """Waste narrower than this stays on the blank beside it instead of being sawn off."""
    return LEAST[job.units] if job.shop.marks.least_strip is None else job.shop.marks.least_strip
