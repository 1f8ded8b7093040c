"""The house's authority: what it can vouch for, and above all what it cannot.

Judged by two independent verifiers: that of ``cryptography`` and OpenSSL's in real handshakes.
"""

from __future__ import annotations

import ipaddress
import os
import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from sugarwright.errors import GuardError, InputError
from sugarwright.web.guard.addresses import host_names, is_private, own_addresses
from sugarwright.web.guard.authority import (
    CERTIFICATE_FILE,
    KEY_FILE,
    Authority,
    kept_authority,
    key_bytes,
    make_authority,
)
from sugarwright.web.guard.server_certificate import (
    FILE,
    Places,
    kept_certificate,
    make_certificate,
    within,
)

NAME, ADDRESS = "kitchen.local", "192.168.1.20"
OWN = Places((NAME,), (ADDRESS, "10.1.2.3", "172.31.0.9", "169.254.7.7", "127.0.0.1", "fd00::5"))
FOREIGN_NAMES = (
    "bank.example",
    "kitchen",
    "local",
    "other.local",
    "kitchen.local.example",
    "xkitchen.local",
)
FOREIGN_ADDRESSES = (
    "8.8.8.8",
    "172.15.255.255",
    "172.32.0.1",
    "192.167.1.1",
    "11.0.0.1",
    "100.64.0.1",
    "2001:db8::1",
    "fc00::1",
    "::2",
    "169.253.0.1",
)


@pytest.fixture(scope="module")
def authority() -> Authority:
    return make_authority("Invented Hollow", (NAME,))


def subject_of(host: str) -> x509.DNSName | x509.IPAddress:
    try:
        return x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        return x509.DNSName(host)


def is_believed(authority: Authority, certificate: x509.Certificate, host: str) -> bool:
    verifier = (
        PolicyBuilder()
        .store(Store([authority.certificate]))
        .build_server_verifier(subject_of(host))
    )
    try:
        verifier.verify(certificate, [])
    except VerificationError:
        return False
    return True


def shakes_hands(authority: Authority, places: Places, host: str, folder: Path) -> bool:
    """Tell whether a client that trusts the authority believes a server, by a handshake."""
    key, certificate = make_certificate(authority, places)
    path = folder / "shown.pem"
    path.write_bytes(key_bytes(key) + certificate.public_bytes(Encoding.PEM))
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(path)
    asking = ssl.create_default_context(
        cadata=authority.certificate.public_bytes(Encoding.PEM).decode()
    )
    to_client, to_server = ssl.MemoryBIO(), ssl.MemoryBIO()
    server = serving.wrap_bio(to_server, to_client, server_side=True)
    client = asking.wrap_bio(to_client, to_server, server_hostname=host)
    done = set()
    for _ in range(10):
        for side in (client, server):
            try:
                side.do_handshake()
                done.add(side)
            except ssl.SSLWantReadError:
                continue
            except ssl.SSLCertVerificationError:
                return False
    return done == {client, server}


@pytest.mark.parametrize("host", [NAME, *OWN.addresses])
def test_this_house_is_believed(authority: Authority, host: str, tmp_path: Path) -> None:
    _, certificate = make_certificate(authority, OWN)
    assert is_believed(authority, certificate, host)
    assert shakes_hands(authority, OWN, host, tmp_path)


@pytest.mark.parametrize("name", FOREIGN_NAMES)
def test_no_other_name_is_believed(authority: Authority, name: str, tmp_path: Path) -> None:
    places = Places((name,), ())
    _, certificate = make_certificate(authority, places)
    assert not is_believed(authority, certificate, name)
    assert not shakes_hands(authority, places, name, tmp_path)


@pytest.mark.parametrize("address", FOREIGN_ADDRESSES)
def test_no_public_address_is_believed(authority: Authority, address: str, tmp_path: Path) -> None:
    places = Places((NAME,), (address,))
    _, certificate = make_certificate(authority, places)
    assert not is_believed(authority, certificate, address)
    assert not shakes_hands(authority, places, address, tmp_path)


def test_it_makes_no_further_authorities(authority: Authority) -> None:
    limits = authority.certificate.extensions.get_extension_for_class(x509.BasicConstraints)
    assert limits.critical
    assert (limits.value.ca, limits.value.path_length) == (True, 0)
    names = authority.certificate.extensions.get_extension_for_class(x509.NameConstraints)
    assert names.critical


@pytest.mark.parametrize("bare", ["kitchen", "com", ""])
def test_a_bare_name_is_never_vouched_for(bare: str) -> None:
    # It would stand for every name below it; "kitchen" and "farm" are public endings.
    with pytest.raises(GuardError):
        make_authority("Invented Hollow", (bare,))
    assert bare not in host_names(own=bare)


@pytest.mark.parametrize("name", ["bank.example", "kitchen.com", "lan", "a..lan", "-a.lan", ""])
def test_names_that_could_be_somebody_elses_are_refused(name: str) -> None:
    with pytest.raises(InputError, match="--name"):
        host_names([name], own="kitchen")


def test_names_at_home() -> None:
    assert host_names(["Sugar.Home.Arpa."], own="kitchen") == ("kitchen.local", "sugar.home.arpa")


def test_a_servers_certificate_is_short_lived_and_for_servers(authority: Authority) -> None:
    _, certificate = make_certificate(authority, OWN)
    lasts = certificate.not_valid_after_utc - certificate.not_valid_before_utc
    assert lasts <= timedelta(days=397)
    use = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(use) == [x509.oid.ExtendedKeyUsageOID.SERVER_AUTH]


def test_it_is_kept_and_made_anew_when_addresses_change(tmp_path: Path) -> None:
    authority = kept_authority(tmp_path, "Invented Hollow", (NAME,))
    assert kept_authority(tmp_path, "Invented Hollow", (NAME,)).der == authority.der

    def shown(*addresses: str) -> bytes:
        return kept_certificate(tmp_path, authority, Places((NAME,), addresses)).read_bytes()

    first = shown(ADDRESS)
    assert shown(ADDRESS) == first
    other = shown("192.168.1.21")
    assert other != first
    assert is_believed(authority, x509.load_pem_x509_certificate(other), "192.168.1.21")


@pytest.mark.parametrize("age_days", [400, 340, -30])
def test_it_is_renewed_before_its_end(tmp_path: Path, age_days: int) -> None:
    authority = kept_authority(tmp_path, "Invented Hollow", (NAME,))
    places = within(authority, Places((NAME,), (ADDRESS,)))
    made = datetime.now(UTC) - timedelta(days=age_days)
    key, old = make_certificate(authority, places, made)
    data = key_bytes(key) + old.public_bytes(Encoding.PEM)
    (tmp_path / "lan" / FILE).write_bytes(data)
    path = kept_certificate(tmp_path, authority, places)
    assert path.read_bytes() != data


@pytest.mark.parametrize("damage", [b"", b"-----BEGIN", b"\x00\xff"])
def test_a_damaged_certificate_of_the_server_is_made_anew(tmp_path: Path, damage: bytes) -> None:
    authority = kept_authority(tmp_path, "Invented Hollow", (NAME,))
    places = Places((NAME,), (ADDRESS,))
    kept_certificate(tmp_path, authority, places).write_bytes(damage)
    data = kept_certificate(tmp_path, authority, places).read_bytes()
    assert is_believed(authority, x509.load_pem_x509_certificate(data), NAME)


@pytest.mark.parametrize("which", [KEY_FILE, CERTIFICATE_FILE])
@pytest.mark.parametrize("damage", [b"", b"-----BEGIN", None])
def test_a_damaged_authority_is_told_and_never_replaced(
    tmp_path: Path, which: str, damage: bytes | None
) -> None:
    kept_authority(tmp_path, "Invented Hollow", (NAME,))
    path = tmp_path / "lan" / which
    if damage is None:
        path.unlink()
    else:
        path.write_bytes(damage)
    with pytest.raises(GuardError, match="each phone"):
        kept_authority(tmp_path, "Invented Hollow", (NAME,))


def test_the_key_of_another_authority_is_told(tmp_path: Path) -> None:
    kept_authority(tmp_path, "Invented Hollow", (NAME,))
    other = make_authority("Invented Hollow", (NAME,))
    (tmp_path / "lan" / KEY_FILE).write_bytes(key_bytes(other.key))
    with pytest.raises(GuardError, match="belong together"):
        kept_authority(tmp_path, "Invented Hollow", (NAME,))


@pytest.mark.skipif(os.name != "posix", reason="modes of files are those of POSIX")
def test_keys_are_for_their_owner_alone(tmp_path: Path) -> None:
    authority = kept_authority(tmp_path, "Invented Hollow", (NAME,))
    kept_certificate(tmp_path, authority, Places((NAME,), (ADDRESS,)))
    for path in (tmp_path / "lan").iterdir():
        assert stat.S_IMODE(path.stat().st_mode) == 0o600, path.name


def test_a_long_name_of_a_house_fits_in(tmp_path: Path) -> None:
    made = make_authority("Zuckerhütte " * 20, (NAME,))
    assert "Zuckerhütte" in made.certificate.subject.rfc4514_string()


def test_own_addresses_are_private_and_not_the_loopback() -> None:
    for each in own_addresses():
        assert is_private(each)
        assert not each.startswith("127.")


@pytest.mark.parametrize("address", ["8.8.8.8", "172.32.0.1", "", "testclient", "::ffff:8.8.8.8"])
def test_what_is_not_private(address: str) -> None:
    assert not is_private(address)


@pytest.mark.parametrize("address", ["10.0.0.1", "::1", "fe80::1%eth0", "::ffff:192.168.1.1"])
def test_what_is_private(address: str) -> None:
    assert is_private(address)
