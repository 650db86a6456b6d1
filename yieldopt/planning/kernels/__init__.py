"""Compiled inner loops. Plain arrays in, plain arrays out; what they mean is said by the modules that call them.

Knows arrays only. Begin reading in `paths.py`.
"""
