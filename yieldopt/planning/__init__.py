"""Which board, where: values, patterns, the master problem, the bound."""
