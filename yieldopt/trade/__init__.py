"""Published tables of the trade with their sources."""
