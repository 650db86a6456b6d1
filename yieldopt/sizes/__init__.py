"""From a finished part to its rough size and what thickness it demands. Begin reading in `sizing.py`."""
