"""What is left on the staves of each glued-up piece for flattening it, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from yieldopt.drawing.setting import Setting
from yieldopt.ground.names import part_of, whole_of
from yieldopt.sizes.glue_up import left_on
from yieldopt.wood.plan import Blank, Piece


def flattening(s: Setting) -> dict[str, str]:
    """By glued-up piece: how thick its staves are planed, and how thick the flattened panel is."""
    said = {}
    for name, left in left_on(s.plan.pieces(), s.job).items():
        part = s.job.part_named[part_of(name)]
        if left > 0:
            said[name] = f"staves to {s.main(part.thickness + left)}, the panel to {s.main(part.thickness)}"
        else:
            said[name] = f"staves to {s.main(part.thickness)}, the finished thickness: joints flush in the clamps"
    return said


def of_board(s: Setting, board: str) -> list[str]:
    """A line for each glued-up piece that has staves on a board."""
    here = {whole_of(p.piece) for bp, p in s.plan.pieces() if bp.board == board and p.stave is not None}
    return [f"△ {name}: {words}." for name, words in flattening(s).items() if name in here]


def panel_words(s: Setting, staves: Sequence[tuple[str, Piece]]) -> str:
    """What is done to a panel once its staves are glued, in order: flattened, brought to its width, then to its length."""
    part = s.job.part_named[staves[0][1].part]
    blanks = {b.blank: b for bp in s.plan.boards for b in bp.blanks}
    thick = min(_milled(blanks, p) for _, p in staves)
    wide = "" if part.width <= s.job.shop.machines.planer_width else ", wider than the planer: by hand or sled"
    if thick > part.thickness:
        flat = f"Staves to {s.main(thick)}, panel to {s.main(part.thickness)}{wide}"
    else:
        flat = f"Staves to {s.main(thick)}, the finished thickness: joints flush in the clamps, then scrape or sand only"
    return f"{flat}; then {s.main(part.width)} wide, then {s.main(part.length)} long"


def _milled(blanks: Mapping[str, Blank], p: Piece) -> Fraction:
    blank = blanks.get(p.blank)
    return blank.thicknesses[p.layer - 1] if blank else p.thickness
