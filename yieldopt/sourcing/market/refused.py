"""Why no line of the price sheets makes a part."""

from __future__ import annotations

from fractions import Fraction

from yieldopt.ground.lengths import Units, show
from yieldopt.luck.drawing_boards import LENGTHS, WIDTHS
from yieldopt.sizes.sizing import end_trim
from yieldopt.sourcing.lay.wants import Want
from yieldopt.sourcing.market.lines import Market

NO_SHEET = "on no price sheet"


def why_none(want: Want, market: Market, units: Units) -> str:
    """One reason, that which leaves no line first: species, how it is sawn, length, width, thickness."""
    lines = [x for x in market.lines if x.species == want.species]
    if not lines:
        return NO_SHEET
    sawn = [x for x in lines if want.sawn in ("any", "flat") or want.sawn in x.grade.casefold()]
    if not sawn:
        return f"no {want.species} on the sheets is sold as {want.sawn}"
    shop = market.shop
    longest = max(x.max_length or LENGTHS[1] for x in sawn)
    long = [x for x in sawn if (x.max_length or LENGTHS[1]) - 2 * end_trim(x.nominal, shop) >= want.length]
    if not long:
        return f"{show(want.length, units)} long as rough-cut; boards are sold up to {show(longest, units)}, ends not trimmed"
    widest = max(x.max_width or WIDTHS[1] for x in long)
    if widest < want.width:
        return f"{show(want.width, units)} wide as rough-cut; boards are sold up to {show(widest, units)}"
    thickest = max((x.nominal for x in long if (x.max_width or WIDTHS[1]) >= want.width), default=Fraction(0))
    how = f" in {want.layers} layers of one blank" if want.layers > 1 else ""
    return f"{show(want.thickness, units)}{how} does not come out of the thickest on the sheets, {show(thickest, units)}"
