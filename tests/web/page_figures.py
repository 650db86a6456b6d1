"""Writes what the phone page takes over from the package: `python tests/web/page_figures.py`. A test compares the two."""

from __future__ import annotations

import json
from pathlib import Path

from yieldopt.reading.boards import SAWN, SOUND_ENDS, STRESS
from yieldopt.wood.lumber import (
    CUBIC_INCHES_PER_BOARD_FOOT,
    CUBIC_INCHES_PER_CUBIC_METRE,
    SOUND_KINDS,
    THROUGH_KINDS,
    UNSOUND_KINDS,
)

PAGE = Path(__file__).parents[2] / "yieldopt" / "web" / "static" / "figures" / "trade.js"
HEAD = """// Words and figures of the trade as the package has them, written by `tests/web/page_figures.py`:
// change them in the package, and run it.

"""
WIDE = 100


def constants() -> list[tuple[str, str, object]]:
    """Name, what it is, value."""
    return [
        ("KINDS", "Kinds of defects to choose from, the sound ones first.", [*sorted(SOUND_KINDS), *sorted(UNSOUND_KINDS)]),
        ("THROUGH", "Kinds that go through a board, whichever face they were logged on.", sorted(THROUGH_KINDS)),
        ("SAWN", "How a board was sawn.", [s for s in SAWN if s]),
        ("STRESS", "What is known of the stress in it.", list(STRESS)),
        ("SOUND_ENDS", "Which of its ends need no trim.", list(SOUND_ENDS)),
        ("CUBIC_INCHES_IN_A_BOARD_FOOT", "", int(CUBIC_INCHES_PER_BOARD_FOOT)),
        ("CUBIC_INCHES_IN_A_CUBIC_METRE", "", float(CUBIC_INCHES_PER_CUBIC_METRE)),
    ]


def module() -> str:
    """The module's text, as the formatter of the page leaves it."""
    out = [HEAD]
    for name, what, value in constants():
        line = f"export const {name} = {json.dumps(value)};"
        if len(line) > WIDE:
            assert isinstance(value, list)
            line = "\n".join([f"export const {name} = [", *(f"  {json.dumps(v)}," for v in value), "];"])
        out.append(f"/** {what} */\n{line}\n" if what else f"{line}\n")
    return "".join(out)


if __name__ == "__main__":
    PAGE.write_text(module(), encoding="utf-8")
