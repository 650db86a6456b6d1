"""The demo shop: where its plain text lies, in a checkout or in an installed wheel."""

from __future__ import annotations

from pathlib import Path

from yieldopt.errors import UsageError

# The job that `yieldopt demo` plans; `inventory/` holds others.
MAIN_JOB = "sideboard"


def inventory() -> Path:
    """The folder with the demo shop's jobs: `yieldopt/inventory` in a wheel, `inventory` at the top of a checkout.

    Raises `UsageError` if neither is there (an installation without its data).
    """
    package = Path(__file__).resolve().parent
    for folder in (package / "inventory", package.parent / "inventory"):
        if (folder / MAIN_JOB / "job.toml").is_file():
            return folder
    raise UsageError("the demo shop is missing from this installation; install yieldopt again from its wheel or a checkout")
