"""The milling order as pages: everything to do after marking, in batches across boards, a box to tick for each."""

from __future__ import annotations

from yieldopt.drawing.milling.finishing import glue, part_blanks, to_length, to_width
from yieldopt.drawing.milling.roughing import first_milling, resaw, rough_cuts, stress_test
from yieldopt.drawing.milling.sets import draw_sets
from yieldopt.drawing.milling.steps import Steps
from yieldopt.drawing.milling.thicknessing import flatten_again, plane, rest
from yieldopt.drawing.page.primitives import Page
from yieldopt.drawing.setting import Setting


def milling_pages(s: Setting) -> list[Page]:
    """The whole order of work for the job, and its sets as they are laid."""
    steps = Steps(s)
    stress_test(steps)
    rough_cuts(steps)
    first_milling(steps)
    resaw(steps)
    rest(steps)
    flatten_again(steps)
    plane(steps)
    part_blanks(steps)
    to_width(steps)
    to_length(steps)
    glue(steps)
    draw_sets(steps.flow, s)
    return steps.flow.finish()
