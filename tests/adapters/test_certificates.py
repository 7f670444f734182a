"""The workshop's certificates, judged by others: Python's TLS, cryptography's path validation (RFC 5280), openssl."""

import shutil
import socket
import ssl
import stat
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import NameOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from putback.adapters.certificates import AUTHORITY_FILE, SERVER_FILE, Served, served
from putback.core.finding import Finding

NOW = datetime.now(UTC)  # noqa: TID251 - the judges look at the real clock
LAN = (IPv4Address("192.168.7.20"), IPv6Address("fd00::20"))
HOST = "bench"


def made(folder: Path, *, host: str = HOST, now: datetime = NOW, addresses: tuple[object, ...] = LAN) -> Served:
    told = served(folder, host=host, addresses=[ip_address(str(one)) for one in addresses], now=now)
    assert isinstance(told, Served), told
    return told


def refused(folder: Path, *, now: datetime = NOW) -> Finding:
    told = served(folder, host=HOST, addresses=LAN, now=now)
    assert isinstance(told, Finding)
    assert told.what
    assert told.mend
    return told


def authority(folder: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate((folder / AUTHORITY_FILE).read_bytes())


def server(folder: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate((folder / SERVER_FILE).read_bytes())


def judged(folder: Path, name: x509.GeneralName, *, leaf: x509.Certificate | None = None, now: datetime = NOW) -> None:
    builder = PolicyBuilder().store(Store([authority(folder)])).time(now)
    assert isinstance(name, x509.DNSName | x509.IPAddress)
    builder.build_server_verifier(name).verify(leaf or server(folder), [])


@contextmanager
def listening(file: Path, address: str = "127.0.0.1") -> Iterator[int]:
    """A real TLS server that answers one caller after the other."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(file)
    with socket.create_server((address, 0)) as door:

        def answer() -> None:
            while True:
                try:
                    plain, _ = door.accept()
                except OSError:
                    return
                with plain:
                    try:
                        with context.wrap_socket(plain, server_side=True) as way:
                            way.sendall(b"here")
                    except (ssl.SSLError, OSError):
                        continue

        thread = threading.Thread(target=answer, daemon=True)
        thread.start()
        yield int(door.getsockname()[1])
        door.shutdown(socket.SHUT_RDWR)
        thread.join(5)


def called(port: int, trusted: Path, *, address: str = "127.0.0.1", name: str = "127.0.0.1") -> bytes:
    context = ssl.create_default_context(cafile=trusted)
    context.verify_flags |= ssl.VERIFY_X509_STRICT
    with (
        socket.create_connection((address, port), timeout=10) as plain,
        context.wrap_socket(plain, server_hostname=name) as way,
    ):
        return way.recv(10)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "store.phones"


def trusted(folder: Path, told: Served) -> Path:
    """What a phone is given, as a file for the judges."""
    file = folder.parent / "trusted.pem"
    file.write_bytes(x509.load_der_x509_certificate(told.authority).public_bytes(Encoding.PEM))
    return file


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost", "bench", "bench.local", "127.0.0.2"])
def test_tls_of_python_takes_the_server_under_each_of_its_names(folder: Path, name: str) -> None:
    told = made(folder, addresses=(*LAN, "127.0.0.2"))
    with listening(told.file) as port:
        assert called(port, trusted(folder, told), name=name) == b"here"


def test_tls_of_python_takes_it_under_no_other_name_and_with_no_other_authority(folder: Path) -> None:
    told = made(folder)
    other = made(folder.parent / "other")
    with listening(told.file) as port:
        with pytest.raises(ssl.SSLCertVerificationError):
            called(port, trusted(folder, told), name="bench.elsewhere.invalid")
        with pytest.raises(ssl.SSLCertVerificationError):
            called(port, trusted(folder, other))


@pytest.mark.parametrize(
    "name",
    [x509.IPAddress(LAN[0]), x509.IPAddress(LAN[1]), x509.DNSName("bench.local"), x509.DNSName("bench")],
)
def test_path_validation_of_rfc_5280_takes_it(folder: Path, name: x509.GeneralName) -> None:
    made(folder)
    judged(folder, name)
    with pytest.raises(VerificationError):
        judged(folder, x509.DNSName("elsewhere.invalid"))


@pytest.mark.skipif(shutil.which("openssl") is None, reason="openssl is not here")
def test_openssl_takes_it(folder: Path) -> None:
    told = made(folder)
    command = ["openssl", "verify", "-x509_strict", "-purpose", "sslserver", "-verify_ip", str(LAN[0]), "-CAfile"]
    told_of = subprocess.run([*command, trusted(folder, told), told.file], capture_output=True, text=True, check=False)
    assert told_of.returncode == 0, told_of.stderr


def stolen(folder: Path, name: x509.GeneralName) -> x509.Certificate:
    """A certificate that somebody makes for another site with the authority's key."""
    key = load_pem_private_key((folder / AUTHORITY_FILE).read_bytes(), password=None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    own = server(folder)
    builder = x509.CertificateBuilder(
        issuer_name=authority(folder).subject,
        subject_name=own.subject,
        public_key=own.public_key(),
        serial_number=7,
        not_valid_before=own.not_valid_before_utc,
        not_valid_after=own.not_valid_after_utc,
        extensions=[one for one in own.extensions if not isinstance(one.value, x509.SubjectAlternativeName)],
    )
    return builder.add_extension(x509.SubjectAlternativeName([name]), critical=False).sign(key, hashes.SHA256())


@pytest.mark.parametrize(
    "name", [x509.DNSName("bank.invalid"), x509.DNSName("bench.invalid"), x509.IPAddress(ip_address("203.0.113.9"))]
)
def test_a_stolen_authority_plays_no_other_site(folder: Path, name: x509.GeneralName) -> None:
    made(folder)
    judged(folder, x509.DNSName("other.local"), leaf=stolen(folder, x509.DNSName("other.local")))
    with pytest.raises(VerificationError):
        judged(folder, name, leaf=stolen(folder, name))


def test_tls_of_python_takes_no_other_site_from_a_stolen_authority(folder: Path) -> None:
    told = made(folder)
    key = told.file.read_bytes().partition(b"-----BEGIN CERT")[0]
    for name, good in (("other.local", True), ("bank.invalid", False)):
        file = folder.parent / f"{name}.pem"
        file.write_bytes(key + stolen(folder, x509.DNSName(name)).public_bytes(Encoding.PEM))
        with listening(file) as port:
            if good:
                assert called(port, trusted(folder, told), name=name) == b"here"
            else:
                with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree"):
                    called(port, trusted(folder, told), name=name)


def test_the_authority_signs_servers_only_and_no_authority_below_it(folder: Path) -> None:
    made(folder)
    limits = authority(folder).extensions.get_extension_for_class(x509.BasicConstraints)
    assert (limits.critical, limits.value.ca, limits.value.path_length) == (True, True, 0)
    assert authority(folder).extensions.get_extension_for_class(x509.NameConstraints).critical


def test_the_keys_are_for_their_owner_alone(folder: Path) -> None:
    made(folder)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    for file in folder.iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert sorted(one.name for one in folder.iterdir()) == [AUTHORITY_FILE, SERVER_FILE], "nothing is left over"


def test_what_a_phone_is_given_holds_no_key(folder: Path) -> None:
    told = made(folder)
    assert b"PRIVATE" not in told.authority
    assert x509.load_der_x509_certificate(told.authority) == authority(folder)
    assert told.fingerprint.replace(":", "").lower() == authority(folder).fingerprint(hashes.SHA256()).hex()


def test_it_is_made_once(folder: Path) -> None:
    assert made(folder).made == ("authority", "server")
    before = {file: file.read_bytes() for file in folder.iterdir()}
    assert made(folder).made == ()
    assert made(folder, addresses=tuple(reversed(LAN))).made == ()
    assert {file: file.read_bytes() for file in folder.iterdir()} == before


def test_the_server_lives_397_days_at_most(folder: Path) -> None:
    made(folder)
    own = server(folder)
    assert own.not_valid_after_utc - own.not_valid_before_utc <= timedelta(days=397)


@pytest.mark.parametrize(("days", "again"), [(0, ()), (365, ()), (366, ("server",)), (500, ("server",))])
def test_the_server_is_made_anew_when_it_ends_within_30_days(folder: Path, days: int, again: tuple[str, ...]) -> None:
    told = made(folder)
    later = NOW + timedelta(days=days)
    renewed = made(folder, now=later)
    assert renewed.made == again
    assert renewed.authority == told.authority
    judged(folder, x509.IPAddress(LAN[0]), now=later)


def test_a_clock_set_back_makes_the_server_anew(folder: Path) -> None:
    made(folder, now=NOW)
    (folder / SERVER_FILE).unlink()
    made(folder, now=NOW + timedelta(days=30))
    assert made(folder, now=NOW).made == ("server",)


def test_the_server_never_outlives_its_authority(folder: Path) -> None:
    told = made(folder)
    late = told.authority_ends_at - timedelta(days=10)
    last = made(folder, now=late)
    assert last.ends_at == told.authority_ends_at
    assert made(folder, now=late + timedelta(days=1)).made == (), "it cannot be made better"


def test_other_addresses_or_another_name_make_the_server_anew(folder: Path) -> None:
    made(folder)
    told = made(folder, addresses=("192.168.7.21",))
    assert (told.made, told.left_out) == (("server",), ())
    judged(folder, x509.IPAddress(ip_address("192.168.7.21")))
    with pytest.raises(VerificationError):
        judged(folder, x509.IPAddress(LAN[0]))
    renamed = made(folder, host="desk")
    assert (renamed.made, renamed.left_out) == (("server",), ("desk",))
    judged(folder, x509.DNSName("desk.local"))


def test_an_address_outside_local_networks_is_covered_if_it_was_there_from_the_start(folder: Path) -> None:
    assert made(folder, addresses=("203.0.113.7",)).left_out == ()
    judged(folder, x509.IPAddress(ip_address("203.0.113.7")))
    assert made(folder, addresses=("203.0.113.8",)).left_out == ("203.0.113.8",)


def test_a_machine_without_a_name_is_served_by_its_addresses(folder: Path) -> None:
    made(folder, host="")
    judged(folder, x509.IPAddress(LAN[0]))


DAMAGE: dict[str, Callable[[bytes], bytes]] = {
    "empty": lambda _: b"",
    "no certificate": lambda content: content.partition(b"-----BEGIN CERT")[0],
    "no key": lambda content: content[content.index(b"-----BEGIN CERT") :],
    "cut off": lambda content: content[:-200],
    "other bytes": lambda content: bytes(one ^ 1 for one in content),
}


@pytest.mark.parametrize("name", DAMAGE)
def test_a_damaged_authority_is_said_and_never_written_over(folder: Path, name: str) -> None:
    made(folder)
    place = folder / AUTHORITY_FILE
    place.write_bytes(DAMAGE[name](place.read_bytes()))
    before = place.read_bytes()
    finding = refused(folder)
    assert finding.where.file == str(place)
    assert "back-up" in finding.mend
    assert place.read_bytes() == before


@pytest.mark.parametrize("name", DAMAGE)
def test_a_damaged_server_certificate_is_made_anew(folder: Path, name: str) -> None:
    made(folder)
    place = folder / SERVER_FILE
    place.write_bytes(DAMAGE[name](place.read_bytes()))
    assert made(folder).made == ("server",)
    judged(folder, x509.IPAddress(LAN[0]))


def test_a_key_of_another_certificate_is_said(folder: Path) -> None:
    made(folder)
    other = folder.parent / "other"
    made(other)
    ours, theirs = (file.joinpath(AUTHORITY_FILE).read_bytes() for file in (folder, other))
    begin = b"-----BEGIN CERT"
    (folder / AUTHORITY_FILE).write_bytes(theirs.partition(begin)[0] + begin + ours.partition(begin)[2])
    assert "not the key of its certificate" in refused(folder).what


def test_a_certificate_that_is_no_authority_is_said(folder: Path) -> None:
    made(folder)
    (folder / AUTHORITY_FILE).write_bytes((folder / SERVER_FILE).read_bytes())
    assert "no authority" in refused(folder).what


def test_an_authority_without_limits_is_not_used(folder: Path) -> None:
    """One that may vouch for every site of the internet is more than a workshop should ask a phone to trust."""
    made(folder)
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "too much")])
    wide = x509.CertificateBuilder(
        issuer_name=name,
        subject_name=name,
        public_key=key.public_key(),
        serial_number=7,
        not_valid_before=NOW,
        not_valid_after=NOW + timedelta(days=9),
    ).add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
    pem = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    (folder / AUTHORITY_FILE).write_bytes(pem + wide.sign(key, hashes.SHA256()).public_bytes(Encoding.PEM))
    assert "no authority" in refused(folder).what


def test_a_key_that_others_may_read_is_said(folder: Path) -> None:
    made(folder)
    (folder / AUTHORITY_FILE).chmod(0o640)
    assert "chmod 600" in refused(folder).mend


def test_an_authority_that_ended_or_has_not_begun_is_said(folder: Path) -> None:
    told = made(folder)
    assert "ended on" in refused(folder, now=told.authority_ends_at).what
    assert "clock" in refused(folder, now=NOW - timedelta(days=3)).mend


def test_a_folder_that_cannot_be_had_is_raised(tmp_path: Path) -> None:
    (tmp_path / "taken").write_bytes(b"")
    with pytest.raises(OSError, match="taken"):
        served(tmp_path / "taken", host=HOST, addresses=LAN, now=NOW)
