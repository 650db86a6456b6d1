"""At which price of thick stock against thin the better way turns."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cost:
    """Net cost as it follows the price of thick stock: `fixed` + `thick` x (its price / its price today)."""

    fixed: float
    thick: float

    def at(self, scale: float) -> float:
        return self.fixed + self.thick * scale

    def __add__(self, other: Cost) -> Cost:
        return Cost(self.fixed + other.fixed, self.thick + other.thick)


def break_even_scale(thin: Cost, thick: Cost) -> float | None:
    """The factor on today's price of thick stock at which both ways cost the same; None where none above 0 does."""
    slope = thick.thick - thin.thick
    if slope <= 0:
        return None
    scale = (thin.fixed - thick.fixed) / slope
    return scale if scale > 0 else None
