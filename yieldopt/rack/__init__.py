"""The inventory in a database, and what happened to each board."""
