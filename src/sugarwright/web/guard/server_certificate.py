"""The certificate that this computer shows.

It is short-lived, renewed by itself, and made anew when this computer's addresses change.
"""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID

from sugarwright.web.guard.addresses import LOOPBACK
from sugarwright.web.guard.authority import Authority, key_bytes, subject, usage
from sugarwright.web.guard.private_files import private_folder, read_private, write_private

FILE = "server.pem"
DAYS = 397
"""Within what every browser accepts of an authority that a person added
(398 days and more; from memory)."""

_SKEW = timedelta(days=1)
_RENEWED_BEFORE = timedelta(days=60)


@dataclass(frozen=True)
class Places:
    """Where this computer is reached.

    Parameters
    ----------
    names : host names
    addresses : numeric addresses
    """

    names: tuple[str, ...]
    addresses: tuple[str, ...]


def make_certificate(
    authority: Authority, places: Places, now: datetime | None = None
) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
    """Return a fresh key, and the authority's certificate of it for these places."""
    key = ec.generate_private_key(ec.SECP256R1())
    start = (now or datetime.now(UTC)) - _SKEW
    end = min(start + timedelta(days=DAYS), authority.certificate.not_valid_after_utc)
    signer = authority.certificate
    builder = (
        x509.CertificateBuilder()
        .subject_name(subject(places.names[0], "Sugarwright"))
        .issuer_name(signer.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(start)
        .not_valid_after(end)
        .add_extension(x509.SubjectAlternativeName(_general(places)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False)
        .add_extension(_signed_by(signer), critical=False)
    )
    return key, builder.sign(authority.key, hashes.SHA256())


def kept_certificate(house_folder: str | Path, authority: Authority, places: Places) -> Path:
    """Return the file with this computer's key and certificate, made anew when it must be.

    That is at first use, sixty days before its end, and when names or addresses have changed.
    Places that the authority may not vouch for are left out.

    Raises
    ------
    GuardError : the file cannot be read or written
    """
    path = private_folder(house_folder) / FILE
    allowed = within(authority, places)
    data = read_private(path)
    if data is None or not _still_good(data, authority, allowed):
        key, certificate = make_certificate(authority, allowed)
        write_private(path, key_bytes(key) + certificate.public_bytes(Encoding.PEM))
    return path


def within(authority: Authority, places: Places) -> Places:
    """Return the places that an authority may vouch for; this computer itself always is one."""
    asked = (LOOPBACK, *places.names)
    names = [each for each in asked if any(_is_at_or_below(each, name) for name in authority.names)]
    return Places(tuple(names), tuple(dict.fromkeys([*places.addresses, "127.0.0.1"])))


def _is_at_or_below(name: str, allowed: str) -> bool:
    return name == allowed or name.endswith(f".{allowed}")


def _general(places: Places) -> list[x509.GeneralName]:
    addresses = map(ipaddress.ip_address, places.addresses)
    return [*map(x509.DNSName, places.names), *map(x509.IPAddress, addresses)]


def _signed_by(signer: x509.Certificate) -> x509.AuthorityKeyIdentifier:
    own = signer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier)
    return x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(own.value)


def _still_good(data: bytes, authority: Authority, places: Places) -> bool:
    """Tell whether a kept certificate is this authority's, for these places, and far from its end.

    Whatever is wrong with it, a new one costs nothing: phones trust the authority.
    """
    now = datetime.now(UTC)
    try:
        certificate = x509.load_pem_x509_certificate(data)
        certificate.verify_directly_issued_by(authority.certificate)
        found = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName)
    except Exception:  # each way in which a damaged file fails ends here
        return False
    is_complete = b"PRIVATE KEY" in data and set(_general(places)) == set(found.value)
    begins, ends = certificate.not_valid_before_utc, certificate.not_valid_after_utc
    return is_complete and begins < now < ends - _RENEWED_BEFORE
