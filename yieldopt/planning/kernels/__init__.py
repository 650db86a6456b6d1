"""Compiled inner loops. Plain arrays in, plain arrays out; what they mean is said by the modules that call them."""
