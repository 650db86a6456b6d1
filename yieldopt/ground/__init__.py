"""What every room stands on: exact lengths, errors as data, time, files whole or not at all. Begin reading in `lengths.py`."""
