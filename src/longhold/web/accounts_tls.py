"""What must be there before anybody but this machine may reach the page; it loads nothing heavy."""

from __future__ import annotations

import socket
import ssl
from ipaddress import IPv4Network, IPv6Network, ip_address, ip_network
from pathlib import Path

from longhold.base.errors import InputError, Problem
from longhold.web.settings import Settings, is_loopback

__all__ = ["proxy_addresses", "refuse_without_tls"]

_TLS = (
    "Give --certificate and --key, or declare with --behind-proxy the address of a proxy that speaks TLS in "
    "front of it; without --host only this machine reaches the page."
)
_ANY = frozenset({"0.0.0.0", "::"})  # noqa: S104  told apart, not listened on


def refuse_without_tls(settings: Settings) -> None:
    """Refuse to be reached by other machines with nothing between that keeps passwords to themselves.

    Raises
    ------
    InputError : no TLS, half of it, a certificate that cannot be used, or no name to answer to
    """
    if (settings.certificate is None) != (settings.key is None):
        raise InputError(Problem("--certificate and --key", None, "come together.", "Give both, or neither."))
    if not is_loopback(settings.host) and not settings.secure:
        said = "is reached by other machines, which needs TLS: passwords would travel in the open."
        raise InputError(Problem("--host", settings.host, said, _TLS))
    if not settings.names and (settings.proxy or settings.host in _ANY):
        do = "Give --name with what stands in the address line of a browser, such as --name deck.example."
        raise InputError(Problem("--name", None, "tell which name people reach the page by.", do))
    if settings.certificate is not None and settings.key is not None:
        _refuse_unusable(settings.certificate, settings.key)


def proxy_addresses(name: str) -> tuple[IPv4Network | IPv6Network, ...]:
    """Addresses that a declared proxy connects from.

    Parameters
    ----------
    name : an address, a network such as ``10.0.0.0/24``, or the name of a host

    Raises
    ------
    InputError : a name that nobody knows

    >>> proxy_addresses("127.0.0.1")
    (IPv4Network('127.0.0.1/32'),)
    """
    try:
        return (ip_network(name),)
    except ValueError:
        pass
    try:
        found = {entry[4][0] for entry in socket.getaddrinfo(name, None)}
    except (OSError, UnicodeError):
        said = "is neither an address nor a name that this machine knows."
        raise InputError(
            Problem("--behind-proxy", name, said, "Give the address the proxy connects from.")
        ) from None
    return tuple(sorted((ip_network(ip_address(one)) for one in found), key=str))


def _refuse_unusable(certificate: Path, key: Path) -> None:
    for option, file in (("--certificate", certificate), ("--key", key)):
        try:
            file.read_bytes()
        except OSError as error:
            raise InputError(Problem(option, str(file), f"cannot be read: {error.strerror}.")) from None
    try:
        # a key under a password would ask on the terminal, where nobody may sit
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password=_no_password)
    except (ssl.SSLError, ValueError):
        said = "is no certificate in PEM form to which the key in --key belongs, free of a password."
        raise InputError(Problem("--certificate", str(certificate), said)) from None


def _no_password() -> str:
    raise ValueError("the key is under a password")
