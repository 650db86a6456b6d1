"""What can go wrong with a rack that its user can mend; each error carries the names it speaks of."""

from __future__ import annotations

from collections.abc import Sequence

from yieldopt.ground.errors import YieldoptError


class RackError(YieldoptError):
    """Base of the rack's errors."""


class NoRack(RackError, FileNotFoundError):
    """There is no rack where one was named."""

    def __init__(self, where: str) -> None:
        self.where = where
        super().__init__(f"there is no rack at {where}; `yieldopt rack log` or `yieldopt rack load` makes one")

    def __str__(self) -> str:
        return str(self.args[0])


class ForeignFile(RackError, ValueError):
    """The file is something else than a rack; it has been left as it was."""

    def __init__(self, where: str, what: str) -> None:
        self.where = where
        super().__init__(f"{where} is not a rack: {what}; it was left untouched")


class DamagedRack(RackError, ValueError):
    """The file was a rack and is damaged; it has been left as it was."""

    def __init__(self, where: str, what: str) -> None:
        self.where = where
        super().__init__(f"{where} is damaged ({what}); it was left untouched. `yieldopt rack restore` brings back a backup")


class NewerRack(RackError, ValueError):
    """The rack was made by a newer version of this package; it has been left as it was."""

    def __init__(self, where: str, version: str) -> None:
        self.where = where
        self.version = version
        super().__init__(
            f"{where} was made by a newer version of yieldopt (rack version {version}); it was left untouched. Update yieldopt"
        )


class RackOutOfReach(RackError, OSError):
    """The database can't be read or written: no room, no permission, no answer. Nothing was stored."""

    def __init__(self, where: str, what: str) -> None:
        self.where = where
        self.what = what
        super().__init__(f"{where}: {what}; nothing was stored")

    @property
    def full(self) -> bool:
        """Whether it was for want of room."""
        return "no room" in self.what or "no space left" in self.what.lower()

    def __str__(self) -> str:
        return str(self.args[0])


class NoSuchBoard(RackError, KeyError):
    """A name or id that no board has."""

    def __init__(self, names: Sequence[str], near: Sequence[str] = ()) -> None:
        self.names = tuple(names)
        hint = f"; near it: {', '.join(near)}" if near else ""
        super().__init__(f"no such board on the rack: {', '.join(names)}{hint}")

    def __str__(self) -> str:
        return str(self.args[0])


class NameTaken(RackError, ValueError):
    """Names that boards on the rack bear already."""

    def __init__(self, names: Sequence[str]) -> None:
        self.names = tuple(names)
        super().__init__(f"there is a board of this name on the rack already: {', '.join(names)}")


class BoardHeld(RackError, RuntimeError):
    """Boards that another job holds; `holds` pairs each name with the job."""

    def __init__(self, holds: Sequence[tuple[str, str]]) -> None:
        self.holds = tuple(holds)
        super().__init__("; ".join(f"{name} is held for {job}" for name, job in holds))


class NotOnRack(RackError, LookupError):
    """Boards that were cut, split or retired, so that nothing more can be done with them."""

    def __init__(self, names: Sequence[tuple[str, str]]) -> None:
        self.names = tuple(names)
        super().__init__("; ".join(f"{name} is no longer on the rack: it was {state}" for name, state in names))


class Refused(RackError, ValueError):
    """A change that would leave the rack in disorder, with the reason in words."""


class KeyReused(RackError, ValueError):
    """The same idempotency key came with different contents."""

    def __init__(self, key: str) -> None:
        self.key = key
        super().__init__(f"the key {key!r} was used for another change already")
