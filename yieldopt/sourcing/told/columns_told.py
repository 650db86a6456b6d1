"""Tables in fixed-width lettering."""

from __future__ import annotations

from collections.abc import Sequence


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Columns as wide as they need, the first to the left, the others to the right."""
    wide = [max(len(r[k]) for r in [head, *rows]) for k in range(len(head))]
    return [
        "  ".join(c.ljust(w) if k == 0 else c.rjust(w) for k, (c, w) in enumerate(zip(r, wide, strict=True)))
        for r in [head, *rows]
    ]
