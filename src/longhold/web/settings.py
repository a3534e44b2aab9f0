"""How a server is set up: where it listens, where it keeps things, and how much it takes in."""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import IPv4Network, IPv6Network, ip_address
from pathlib import Path

from longhold.base.limits import MOST_BODY_BYTES

__all__ = ["Settings", "is_loopback"]


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
    accounts : whether people sign in even where only this machine reaches it; else they always do
    certificate, key : files in PEM form, for TLS of its own
    proxy : addresses of the declared proxy that speaks TLS in front of it; only they may connect, and only
        they are believed who really asks
    most_requests : that one person, or one address without a person, may send in a minute
    most_body_bytes : largest request taken in
    workers : computations at a time
    """

    host: str = "127.0.0.1"
    port: int = 8765
    store: str | Path | None = None
    names: tuple[str, ...] = ()
    accounts: bool = False
    certificate: Path | None = None
    key: Path | None = None
    proxy: tuple[IPv4Network | IPv6Network, ...] = ()
    most_requests: int = 600
    most_body_bytes: int = MOST_BODY_BYTES
    workers: int = 2

    @property
    def secure(self) -> bool:
        """Whether browsers reach it by TLS, its own or that of the declared proxy.

        >>> Settings().secure, Settings(certificate=Path("c.pem"), key=Path("k.pem")).secure
        (False, True)
        """
        return self.certificate is not None or bool(self.proxy)

    @property
    def asks_who(self) -> bool:
        """Whether people must sign in: always, unless only this machine reaches the page.

        >>> Settings().asks_who, Settings(host="0.0.0.0").asks_who, Settings(accounts=True).asks_who
        (False, True, True)
        """
        return self.accounts or bool(self.proxy) or not is_loopback(self.host)
