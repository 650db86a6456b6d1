"""Job folders in and out: CSV, .xlsx and TOML to a `Job`, every mistake at once."""
