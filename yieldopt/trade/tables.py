"""Reading the published tables that lie in `yieldopt/trade/data`, each figure with its source."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from yieldopt.ground.lengths import parse_length


@cache
def rows(name: str) -> tuple[Mapping[str, str], ...]:
    """The rows of one CSV table, in order, keyed by its header."""
    text = files("yieldopt.trade").joinpath("data", name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@cache
def tree(name: str) -> Mapping[str, Any]:
    """One TOML file of rules."""
    return tomllib.loads(files("yieldopt.trade").joinpath("data", name).read_text(encoding="utf-8"))


def inches(text: str) -> Fraction:
    """A length as the tables print it, in inches."""
    return parse_length(text, "in")
