"""Chalk sheets, the packet and charts."""
