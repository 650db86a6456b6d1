"""What the package uses although it was not read in print: each statement once, with the words that flag it wherever it shows."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

# The mark of a figure in a table, and what the mark means.
MARK = "*"
LEGEND = f"{MARK} from memory or inferred, not read in a copy of the table"

# By key, in the words of `docs/reference/trade.md`. Figures of woods and grades are flagged row by row in `data/`.
STATEMENTS: Mapping[str, str] = MappingProxyType(
    {
        "taper": "a tapering board is counted at its width a third of the length from the narrow end",
        "half": "the grading rules, like the lumber scale, let exact halves go down on one board and up on the next",
        "scant": "kiln-dried rough stock from 2 in up may be 1/8 in under nominal",
        "surfacing": "surfacing takes 3/16 in up to 6/4 and 1/4 in from 7/4 up (the rows were read, the rule was not)",
        "fraction": "the fraction in the number of cuttings is dropped (the Wood Handbook's example follows it)",
        "rectangles": "cuttings are rectangles parallel to the board's edges, anywhere on it, not overlapping",
        "checks": "season checks, and worm holes of 1/4 in or more, count as unsound",
        "double sampling": "Cochran, Sampling Techniques, 1977, has the estimators of double sampling and post-stratification",
    }
)


def flagged(key: str) -> str:
    """The statement with its flag, for a note."""
    return f"{STATEMENTS[key]} (from memory, not verified)"
