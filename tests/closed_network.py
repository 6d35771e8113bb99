"""Peelwright never needs the network: from the moment this is imported, whoever asks for it fails.

This machine itself may be reached: a database server that a test run has started. It holds for the programs that
tests start, too, where they are modules of `tests`.
"""

import ipaddress
import sys


def is_here(host: object) -> bool:
    """True for this machine. A name is not: to look it up is to ask the network."""
    try:
        return host in ("localhost", None) or ipaddress.ip_address(str(host)).is_loopback
    except ValueError:
        return False


def refuse(event: str, given: tuple[object, ...]) -> None:
    """An audit hook (PEP 578): called before each of these, whichever library asks."""
    if event in ("socket.connect", "socket.sendto", "socket.sendmsg"):
        address = given[1]
        # A text or bytes is a socket file; of a tuple the first part is the host.
        if isinstance(address, tuple) and not is_here(address[0]):
            raise AssertionError(f"a test tried to reach {address}")
    elif event in ("socket.getaddrinfo", "socket.gethostbyname") and not is_here(given[0]):
        raise AssertionError(f"a test tried to look up {given[0]}")


sys.addaudithook(refuse)
