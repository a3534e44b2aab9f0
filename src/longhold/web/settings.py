"""How a server is set up: where it listens, where it keeps things, and how much it takes in."""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path

__all__ = ["Settings", "is_loopback"]

_MEBIBYTE = 1024 * 1024


def is_loopback(host: str) -> bool:
    """Whether only this machine reaches a host.

    >>> is_loopback("127.0.0.1"), is_loopback("localhost"), is_loopback("::1"), is_loopback("0.0.0.0")
    (True, True, True, False)
    """
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False


@dataclass(frozen=True)
class Settings:
    """What the page is told at its start.

    Attributes
    ----------
    host, port : where it listens
    store : file or URL of the store; None for the usual place
    names : names of hosts that it answers to besides loopback ones
    accounts : whether people sign in
    secure : whether browsers reach it by TLS, its own or that of a declared proxy
    most_body_bytes : largest request taken in
    workers : computations at a time
    """

    host: str = "127.0.0.1"
    port: int = 8765
    store: str | Path | None = None
    names: tuple[str, ...] = ()
    accounts: bool = False
    secure: bool = False
    most_body_bytes: int = 25 * _MEBIBYTE
    workers: int = 2
