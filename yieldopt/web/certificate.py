"""A certificate of our own: a small authority made once, and under it one for this machine's names and addresses."""

from __future__ import annotations

import datetime
import ipaddress
import os
from collections.abc import Sequence
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.types import PrivateKeyTypes
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import write_atomically

# Phones refuse a server's certificate that runs longer (Apple, 2020: 398 days; for private authorities 825 days).
DAYS = 397
AUTHORITY_DAYS = 3650


def certificate(folder: Path, names: Sequence[str]) -> tuple[Path, Path, Path]:
    """(chain, key, authority) as PEM files in `folder`; the authority is kept for as long as it runs, the rest is made anew.

    Raises `UsageError` for a damaged authority, `OSError`.

    The authority may sign for these names only, so that a phone that trusts it risks nothing elsewhere.
    """
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    authority, its_key = _authority(folder, names)
    key = ec.generate_private_key(ec.SECP256R1())
    now = datetime.datetime.now(datetime.UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0][:64])]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(days=1))
        .not_valid_after(now + datetime.timedelta(days=DAYS))
        .add_extension(x509.SubjectAlternativeName([_name(n) for n in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(its_key, hashes.SHA256())
    )
    chain, private = folder / "server.pem", folder / "server.key"
    _private(private, key)
    write_atomically(chain, _pem(made) + _pem(authority))
    return chain, private, folder / "authority.crt"


def _authority(folder: Path, names: Sequence[str]) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    public, private = folder / "authority.crt", folder / "authority.key"
    now = datetime.datetime.now(datetime.UTC)
    allowed = [_limit(n) for n in names]
    if public.exists() and private.exists():
        known, key, limits = _read(public, private)
        fits = all(a in limits for a in allowed) and known.not_valid_after_utc > now + datetime.timedelta(days=DAYS)
        if fits and isinstance(key, ec.EllipticCurvePrivateKey):
            return known, key
    new = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"yieldopt on {names[0]}"[:64])])
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(new.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - datetime.timedelta(days=1))
        .not_valid_after(now + datetime.timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(x509.NameConstraints(allowed, None), critical=True)
        .add_extension(
            x509.KeyUsage(
                False, False, False, False, False, key_cert_sign=True, crl_sign=True, encipher_only=False, decipher_only=False
            ),
            critical=True,
        )
        .sign(new, hashes.SHA256())
    )
    _private(private, new)
    write_atomically(public, _pem(made))
    return made, new


def _read(public: Path, private: Path) -> tuple[x509.Certificate, PrivateKeyTypes, list[x509.GeneralName]]:
    """The authority that there is, its key, and the names it may sign for. Raises `UsageError` where either is damaged."""
    file = public
    try:
        known = x509.load_pem_x509_certificate(public.read_bytes())
        limits = known.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
        file = private
        key = serialization.load_pem_private_key(private.read_bytes(), None)
        fits = key.public_key() == known.public_key()
    except (ValueError, TypeError, UnsupportedAlgorithm, x509.ExtensionNotFound) as error:
        raise _damaged(file) from error
    if not fits:
        raise _damaged(private)
    return known, key, limits


def _damaged(file: Path) -> UsageError:
    return UsageError(
        f"{file} is damaged; it was left untouched. Bring back a copy; or move the folder {file.parent} away: a new one is made "
        "then, which each phone has to trust again"
    )


def _name(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _limit(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_network(name))
    except ValueError:
        return x509.DNSName(name)


def _pem(made: x509.Certificate) -> bytes:
    return made.public_bytes(serialization.Encoding.PEM)


def _private(path: Path, key: ec.EllipticCurvePrivateKey) -> None:
    pem = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    path.unlink(missing_ok=True)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as f:
        f.write(pem)
