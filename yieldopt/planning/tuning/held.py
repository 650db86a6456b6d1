"""What a figure may be: said once for all of them."""

from __future__ import annotations


def hold(kind: object, shares: tuple[str, ...] = (), counts: tuple[str, ...] = (), positive: tuple[str, ...] = ()) -> None:
    """Raises `ValueError` where a share is not from 0 to 1, a count not 1 at least, or what is `positive` not above 0."""
    for name in shares:
        if not 0 <= getattr(kind, name) <= 1:
            raise ValueError(f"{type(kind).__name__}.{name} is a share from 0 to 1, not {getattr(kind, name)}")
    for name in counts:
        if getattr(kind, name) < 1:
            raise ValueError(f"{type(kind).__name__}.{name} is 1 at least, not {getattr(kind, name)}")
    for name in positive:
        if getattr(kind, name) <= 0:
            raise ValueError(f"{type(kind).__name__}.{name} is more than 0, not {getattr(kind, name)}")
