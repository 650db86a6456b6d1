"""Whose connection it is, as far as limits go."""

from __future__ import annotations

import ipaddress


def neighbour(address: str) -> str:
    """The same text however the address of one machine is written; text that is no address stands for itself.

    IPv6 addresses count one by one, though a machine may take many: all phones of a shop share the network part, and a limit by
    that would let one of them shut out the rest.
    """
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    mapped = found.ipv4_mapped if isinstance(found, ipaddress.IPv6Address) else None
    return str(mapped or found)
