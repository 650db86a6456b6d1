"""Every way of breaking a plan that the tests know."""

import break_cuts
import break_groups
import break_money
import break_pieces
import break_records
from breaking import CORRUPTIONS, Corruption

__all__ = ["CORRUPTIONS", "Corruption", "break_cuts", "break_groups", "break_money", "break_pieces", "break_records"]
