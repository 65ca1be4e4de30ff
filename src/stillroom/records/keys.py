"""The installation's Ed25519 key (RFC 8032). Its private half is a file in the data directory, never in the database.

`trail-key` is readable by its owner only; `trail-keys.txt` holds the public half of every key that was ever used,
in the form of C2SP's signed-note verifier keys, and may be given to anybody.
"""

from __future__ import annotations

import base64
import hashlib
import os
import time
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

__all__ = [
    "NAME",
    "Key",
    "directory",
    "own_key",
    "place_private",
    "public_keys",
    "public_line",
    "publish",
    "publish_public",
    "read_public",
    "replace_own",
    "sweep",
    "verifies",
]

NAME = "stillroom"
_ED25519 = b"\x01"  # signed-note's number for this kind of signature
_opened: dict[tuple[Path, int], Key] = {}


class Key:
    """A private key that signs; `id` names its public half in 8 hexadecimal digits."""

    def __init__(self, private: Ed25519PrivateKey) -> None:
        self._private = private
        self.public = private.public_key().public_bytes_raw()
        self.id = key_id(self.public)

    @classmethod
    def new(cls) -> Key:
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

        return cls(Ed25519PrivateKey.generate())

    def sign(self, message: str) -> str:
        """The signature in 128 hexadecimal digits."""
        return self._private.sign(message.encode()).hex()

    def pem(self) -> bytes:
        from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

        return self._private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def key_id(public: bytes) -> str:
    """Signed-note's key hash: the first 4 bytes of SHA-256 over name, line break, kind and key."""
    return hashlib.sha256(NAME.encode() + b"\n" + _ED25519 + public).hexdigest()[:8]


def directory() -> Path:
    """The data directory."""
    from django.conf import settings

    return Path(settings.DATA)


def own_key() -> Key:
    """The installation's key; made when it is first needed."""
    file = directory() / "trail-key"
    if not file.is_file():
        _keep(file, Key.new())
    known = (file, file.stat().st_mtime_ns)
    if known not in _opened:
        from cryptography.hazmat.primitives.serialization import load_pem_private_key

        key = Key(load_pem_private_key(file.read_bytes(), None))
        publish(key)
        _opened[known] = key
    return _opened[known]


def publish(key: Key) -> None:
    """Add the public half to `trail-keys.txt`, once."""
    publish_public(key.public)


def publish_public(public: bytes) -> None:
    """Add a public key to `trail-keys.txt`, once."""
    name = key_id(public)
    if name in public_keys():
        return
    with (directory() / "trail-keys.txt").open("a", encoding="ascii") as out:
        out.write(public_line(public))
        out.flush()
        os.fsync(out.fileno())


def public_line(public: bytes) -> str:
    """The key as a line of `trail-keys.txt`."""
    return f"{NAME}+{key_id(public)}+{base64.b64encode(_ED25519 + public).decode()}\n"


def place_private(pem: bytes) -> None:
    """Put a private key from a backup where this installation's belongs; one that is there stays.

    Raises
    ------
    ValueError
        It is no private key of this kind.
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    private = load_pem_private_key(pem, None)
    if not isinstance(private, Ed25519PrivateKey):
        raise ValueError("no Ed25519 key")
    _keep(directory() / "trail-key", Key(private))


def replace_own(key: Key) -> None:
    """Put the key in the place of the one that signed until now, whole or not at all; that one's private half is gone."""
    file = directory() / "trail-key"
    _written(file, key).replace(file)


def sweep() -> None:
    """Remove what was half written when a process was killed while it made a key: it signed nothing."""
    for part in directory().glob("trail-key.*.new"):
        if time.time() - part.stat().st_mtime > 600:
            part.unlink(missing_ok=True)


def public_keys() -> dict[str, bytes]:
    """Key id → public key, of every key of this installation."""
    file = directory() / "trail-keys.txt"
    return read_public(file.read_text("ascii")) if file.is_file() else {}


def read_public(text: str) -> dict[str, bytes]:
    """The keys of lines ``stillroom+id+base64``; a line whose id does not belong to its key is left out."""
    found = {}
    for line in text.split():
        _, _, rest = line.partition("+")
        name, _, coded = rest.partition("+")
        public = base64.b64decode(coded)[1:]
        if key_id(public) == name:
            found[name] = public
    return found


def verifies(public: bytes | None, message: str, signature: str) -> bool:
    """Whether the signature [hexadecimal] over the message is of this key; without a key it is not."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    if public is None:
        return False
    try:
        raw = bytes.fromhex(signature)
        if raw.hex() != signature:  # one spelling only
            return False
        Ed25519PublicKey.from_public_bytes(public).verify(raw, message.encode())
    except (InvalidSignature, ValueError):
        return False
    return True


def _keep(file: Path, key: Key) -> None:
    """Write a key whole or not at all; of two that come at once, the first one's stays."""
    part = _written(file, key)
    with suppress(FileExistsError):
        os.link(part, file)
    part.unlink()


def _written(file: Path, key: Key) -> Path:
    """The key in a file beside it, readable by its owner only."""
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    part = file.with_name(f"{file.name}.{os.getpid()}.new")
    part.unlink(missing_ok=True)
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(key.pem())
        out.flush()
        os.fsync(out.fileno())
    return part
