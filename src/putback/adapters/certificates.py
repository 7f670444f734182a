"""One idea: a workshop vouches for its own server: an authority made once, a certificate made anew when it must be.

Each stands in one file with its key, readable by its owner alone. The authority limits itself (RFC 5280, 4.2.1.10) to
addresses of local networks, to names under `.local`, and to this machine: whoever steals its key can play no other
site to the phones that trust it.
"""

import os
import stat
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_address, ip_network
from pathlib import Path
from typing import Final, TypeAlias

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from putback.adapters.whole_file import write_whole
from putback.core.finding import Finding, Where

Address: TypeAlias = IPv4Address | IPv6Address
Network: TypeAlias = IPv4Network | IPv6Network

AUTHORITY_FILE: Final = "authority.pem"
SERVER_FILE: Final = "server.pem"

AUTHORITY_DAYS: Final = 3650
SERVER_DAYS: Final = 397
"""The longest life of a server's certificate, its backdating counted. From memory: the baseline requirements of the
CA/Browser Forum, 6.3.2, allowed 398 days from 2020 on and advised 397."""

RENEW_DAYS: Final = 30
BACKDATED: Final = timedelta(days=1)
"""A phone whose clock is slow takes it too."""

LOCAL: Final[tuple[Network, ...]] = tuple(
    ip_network(one)
    for one in (
        "127.0.0.0/8",
        "::1/128",
        "10.0.0.0/8",  # RFC 1918
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",  # RFC 3927
        "fc00::/7",  # RFC 4193
        "fe80::/10",  # RFC 4291
    )
)
"""Networks that no address of the internet lies in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """What a server is started with. `left_out`: names and addresses that the authority may not vouch for."""

    file: Path
    authority: bytes
    fingerprint: str
    made: tuple[str, ...]
    ends_at: datetime
    authority_ends_at: datetime
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """A certificate with its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey


def served(folder: Path, *, host: str, addresses: Sequence[Address], now: datetime) -> Served | Finding:
    """The workshop's certificate for these addresses, made where it is missing, ends soon or is for others.

    Args:
        folder: where both files are kept; made where it is missing.
        host: the name of this machine, without a domain.
        addresses: those that the server is reached at, besides this machine's own.
        now: the time, with its offset.

    Returns:
        What to serve with; or what is wrong with the authority, which is never written over.

    Raises:
        OSError: the disk would not have it.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    folder.chmod(0o700)
    place = folder / AUTHORITY_FILE
    made: list[str] = []
    if not place.exists() and write_whole(place, _pem(_new_authority(host, addresses, now)), once=True):
        made.append("authority")
    authority = _read(place)
    if isinstance(authority, Finding):
        return authority
    wrong = _unfit(place, authority, now)
    if wrong:
        return wrong
    names, left_out = _covered(authority.certificate, host, addresses)
    server = _kept(folder / SERVER_FILE, authority, names, now)
    if server is None:
        server = _new_server(authority, names, now)
        write_whole(folder / SERVER_FILE, _pem(server))
        made.append("server")
    return Served(
        file=folder / SERVER_FILE,
        authority=authority.certificate.public_bytes(Encoding.DER),
        fingerprint=authority.certificate.fingerprint(hashes.SHA256()).hex(":").upper(),
        made=tuple(made),
        ends_at=server.certificate.not_valid_after_utc,
        authority_ends_at=authority.certificate.not_valid_after_utc,
        left_out=left_out,
    )


def _new_authority(host: str, addresses: Sequence[Address], now: datetime) -> _Pair:
    """An authority that can sign servers and nothing below them, for local names and addresses alone.

    An address of this machine that lies in no local network is permitted by itself.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    networks = [*LOCAL, *(ip_network(one) for one in sorted(addresses, key=str) if not _is_local(one))]
    permitted: list[x509.GeneralName] = [x509.DNSName("localhost"), x509.DNSName("local")]
    permitted += [x509.DNSName(host)] if host not in ("", "localhost") else []
    permitted += [x509.IPAddress(one) for one in networks]
    name = _name(f"putback, this workshop alone ({host or 'a machine'}, {now:%Y-%m-%d})")
    made = (
        _begun(name, name, key.public_key(), now, now + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(permitted_subtrees=permitted, excluded_subtrees=None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    return _Pair(certificate=made, key=key)


def _new_server(authority: _Pair, names: Sequence[x509.GeneralName], now: datetime) -> _Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    signer = authority.certificate
    ends = min(now - BACKDATED + timedelta(days=SERVER_DAYS), signer.not_valid_after_utc)
    signer_id = signer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    made = (
        _begun(_name("putback server"), signer.subject, key.public_key(), now, ends)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(signer_id), critical=False)
        .sign(authority.key, hashes.SHA256())
    )
    return _Pair(certificate=made, key=key)


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, now: datetime, ends: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BACKDATED)
        .not_valid_after(ends)
    )


def _name(words: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, words[:64])])


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _covered(
    authority: x509.Certificate, host: str, addresses: Sequence[Address]
) -> tuple[tuple[x509.GeneralName, ...], tuple[str, ...]]:
    """The names of a server that the authority may vouch for, and those it may not."""
    limits = authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    domains = [one.value for one in limits if isinstance(one, x509.DNSName)]
    networks = [one.value for one in limits if isinstance(one, x509.IPAddress)]
    names = ["localhost", *([host, f"{host}.local"] if host not in ("", "localhost") else [])]
    own = [ip_address("127.0.0.1"), *sorted(set(addresses) - {ip_address("127.0.0.1")}, key=str)]
    good: list[x509.GeneralName] = [x509.DNSName(one) for one in names if _under(one, domains)]
    good += [x509.IPAddress(one) for one in own if _within(one, networks)]
    bad = [one for one in names if not _under(one, domains)]
    return tuple(good), (*bad, *(str(one) for one in own if not _within(one, networks)))


def _under(name: str, domains: Sequence[str]) -> bool:
    return any(name == one or name.endswith(f".{one}") for one in domains)


def _within(address: Address, networks: Sequence[object]) -> bool:
    return any(address in one for one in networks if isinstance(one, IPv4Network | IPv6Network))


def _is_local(address: Address) -> bool:
    return _within(address, LOCAL)


def _kept(place: Path, authority: _Pair, names: Sequence[x509.GeneralName], now: datetime) -> _Pair | None:
    """The server's certificate, where it can go on; a damaged one is as good as none, for it is made anew."""
    if not place.exists():
        return None
    server = _read(place)
    if isinstance(server, Finding):
        return None
    certificate = server.certificate
    try:
        certificate.verify_directly_issued_by(authority.certificate)
        there = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (InvalidSignature, ValueError, TypeError, x509.ExtensionNotFound):
        return None
    fits = set(there) == set(names) and certificate.not_valid_before_utc <= now
    authority_ends = authority.certificate.not_valid_after_utc
    lasts = certificate.not_valid_after_utc > now + timedelta(days=RENEW_DAYS)
    return server if fits and (lasts or certificate.not_valid_after_utc == authority_ends > now) else None


def _read(place: Path) -> _Pair | Finding:
    """A certificate with its key; or what is wrong with the file."""
    if os.name == "posix" and stat.S_IMODE(place.stat().st_mode) & 0o077:
        return _finding(place, "others on this machine may read its key", f"run chmod 600 {place}; {_MOVE}")
    content = place.read_bytes()
    try:
        certificate = x509.load_pem_x509_certificate(content)
    except ValueError:
        return _finding(place, "holds no certificate that can be read", _BRING_BACK)
    try:
        key = load_pem_private_key(content, password=None)
    except (ValueError, TypeError):
        return _finding(place, "holds no key that can be read", _BRING_BACK)
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != certificate.public_key():
        return _finding(place, "holds a key that is not the key of its certificate", _BRING_BACK)
    return _Pair(certificate=certificate, key=key)


def _unfit(place: Path, authority: _Pair, now: datetime) -> Finding | None:
    """Why an authority that can be read cannot be used."""
    certificate = authority.certificate
    try:
        signs = certificate.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
        certificate.extensions.get_extension_for_class(x509.NameConstraints)
        certificate.extensions.get_extension_for_class(x509.SubjectKeyIdentifier)
        certificate.verify_directly_issued_by(certificate)
    except (InvalidSignature, ValueError, TypeError, x509.ExtensionNotFound):
        signs = False
    if not signs:
        return _finding(place, "is no authority of a workshop", _BRING_BACK)
    if now >= certificate.not_valid_after_utc:
        return _finding(place, f"ended on {certificate.not_valid_after_utc:%Y-%m-%d}", _MOVE)
    if now < certificate.not_valid_before_utc:
        begins = f"{certificate.not_valid_before_utc:%Y-%m-%d}"
        return _finding(place, f"begins only on {begins}", "set this machine's clock right")
    return None


_MOVE: Final = (
    "or move the file elsewhere and start again: a new authority is made, and every phone must be told to trust that"
)
_BRING_BACK: Final = f"bring it back from a back-up, {_MOVE}"


def _finding(place: Path, what: str, mend: str) -> Finding:
    return Finding(where=Where(file=str(place)), what=what, mend=mend.removeprefix("or "), rule="certificate")


def _pem(pair: _Pair) -> bytes:
    key = pair.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return key + pair.certificate.public_bytes(Encoding.PEM)
