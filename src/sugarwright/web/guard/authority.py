"""The house's own certificate authority: it can vouch for this house, and for nothing else.

A phone that trusts it believes whatever it signs, within the limits that stand in it: critical
name constraints allow this computer's names at home and private addresses. So not even a thief
of its key could pretend to be a bank.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

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

from sugarwright.errors import GuardError
from sugarwright.web.guard.addresses import LOOPBACK, PRIVATE
from sugarwright.web.guard.private_files import private_folder, read_private, write_private

KEY_FILE, CERTIFICATE_FILE = "authority.key", "authority.crt"
YEARS = 10
_SKEW = timedelta(days=2)  # a phone's clock, or this computer's, may be wrong
_RENEWED_BEFORE = timedelta(days=400)
_LONGEST_NAME = 64  # bytes (RFC 5280, appendix A.1, ub-common-name)


@dataclass(frozen=True)
class Authority:
    """A certificate authority.

    Parameters
    ----------
    key : with which it signs
    certificate : which phones trust
    """

    key: ec.EllipticCurvePrivateKey
    certificate: x509.Certificate

    @property
    def names(self) -> tuple[str, ...]:
        """The host names that it may vouch for."""
        found = self.certificate.extensions.get_extension_for_class(x509.NameConstraints)
        return tuple(
            each.value
            for each in found.value.permitted_subtrees or ()
            if isinstance(each, x509.DNSName)
        )

    @property
    def der(self) -> bytes:
        """The certificate as phones take it in."""
        return self.certificate.public_bytes(Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, as phones show it."""
        return fingerprint(self.certificate)


def fingerprint(certificate: x509.Certificate) -> str:
    """Return a certificate's SHA-256 in pairs of digits, to be compared by eye."""
    return certificate.fingerprint(hashes.SHA256()).hex(" ").upper()


def make_authority(title: str, names: Sequence[str], now: datetime | None = None) -> Authority:
    """Make an authority for some names and all private addresses.

    Parameters
    ----------
    title : what a phone shows in its list, as "Tamarack Hollow"
    names : host names, each of at least two labels
    now : the moment; the present one if not given

    Raises
    ------
    GuardError : a name has one label only, and would stand for a whole public ending

    Source: D. Cooper et al., "Internet X.509 Public Key Infrastructure Certificate and CRL
    Profile", RFC 5280, 2008, 4.2.1.9 and 4.2.1.10.
    """
    for name in names:
        if "." not in name:
            raise GuardError("name", name, "is no name of your house alone", "like kitchen.local")
    key = ec.generate_private_key(ec.SECP256R1())
    start = (now or datetime.now(UTC)) - _SKEW
    who = subject(f"Sugarwright {title}", "house authority")
    # The loopback name comes first, always: without any permitted name all names would be.
    permitted = [*map(x509.DNSName, (LOOPBACK, *names)), *map(x509.IPAddress, PRIVATE)]
    builder = (
        x509.CertificateBuilder()
        .subject_name(who)
        .issuer_name(who)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(start)
        .not_valid_after(start + timedelta(days=365 * YEARS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False)
    )
    return Authority(key, builder.sign(key, hashes.SHA256()))


def kept_authority(house_folder: str | Path, title: str, names: Sequence[str]) -> Authority:
    """Return the authority of a sugarhouse folder, made at first use and when its years end.

    Raises
    ------
    GuardError : its files are damaged or do not belong together, or cannot be written
    """
    folder = private_folder(house_folder)
    key, certificate = (read_private(folder / name) for name in (KEY_FILE, CERTIFICATE_FILE))
    if key is not None or certificate is not None:
        found = _parsed(key or b"", certificate or b"")
        if found.certificate.not_valid_after_utc - _RENEWED_BEFORE > datetime.now(UTC):
            return found
    made = make_authority(title, names)
    write_private(folder / KEY_FILE, key_bytes(made.key))
    write_private(folder / CERTIFICATE_FILE, made.certificate.public_bytes(Encoding.PEM))
    return made


def subject(common: str, organization: str) -> x509.Name:
    """Return the name under which a certificate is shown; the first part is cut to what fits."""
    fitting = common.encode()[:_LONGEST_NAME].decode(errors="ignore")
    parts = ((NameOID.ORGANIZATION_NAME, organization), (NameOID.COMMON_NAME, fitting))
    return x509.Name([x509.NameAttribute(oid, text) for oid, text in parts])


def key_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    """Return a key as its file holds it."""
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def usage(*, signs_certificates: bool) -> x509.KeyUsage:
    """Return what a key is for: to sign certificates, or to be spoken with."""
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )


def _parsed(key: bytes, certificate: bytes) -> Authority:
    try:
        private = load_pem_private_key(key, None)
        shown = x509.load_pem_x509_certificate(certificate)
        if not isinstance(private, ec.EllipticCurvePrivateKey):
            raise ValueError
        if private.public_key() != shown.public_key():
            raise ValueError
        found = Authority(private, shown)
        _ = found.names
    except (ValueError, TypeError, x509.ExtensionNotFound):
        problem = "and its key are damaged or do not belong together"
        fix = (
            f"Bring both back from a copy of the folder; or move lan/{KEY_FILE} and "
            f"lan/{CERTIFICATE_FILE} away: a new authority is made, which each phone must be "
            "told to trust anew (and the old one removed)"
        )
        raise GuardError("file", f"lan/{CERTIFICATE_FILE}", problem, fix=fix) from None
    return found
