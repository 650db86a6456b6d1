"""QR codes as squares: cells, and how small they may be printed."""

from __future__ import annotations

from functools import lru_cache

# Side of a QR code's square: 0.4 mm at least, so that an office printer and a phone agree on it (common practice, no source).
MODULE, SMALLEST_SIDE = 1.13, 52.0


@lru_cache(maxsize=4096)
def qr_cells(payload: str) -> tuple[tuple[tuple[int, int], ...], int]:
    """The dark modules (column, row) of a QR code, and how many modules its side has."""
    import segno

    # One fixed mask: every mask is readable, and weighing all eight takes ten times as long on a packet of 60 boards.
    matrix = list(segno.make(payload, error="m", micro=False, mask=3, encoding="utf-8").matrix)
    return tuple((c, r) for r, line in enumerate(matrix) for c, dark in enumerate(line) if dark), len(matrix)
