"""Taking in a picture: looked at by content, never by name; written anew; kept under its own digest.

Nothing a user typed or named ever becomes part of a path: the name on the disk is the SHA-256 of the bytes
that we wrote. Writing anew drops everything hidden in the upload, place of taking included.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
import tempfile
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from forkwright.shop.troubles import trouble_of_file
from forkwright.units import InputError

if TYPE_CHECKING:
    from PIL import Image

LARGEST_UPLOAD = 20_000_000  # bytes
LARGEST_SIDE = 20_000  # pixels
MOST_PIXELS = 60_000_000
KEPT_SIDE = 2400  # pixels; the longer side is brought down to it
KEPT_QUALITY = 88  # of 100, JPEG

_DIGEST = re.compile(r"[0-9a-f]{64}\Z")
_BEGINNINGS = {"JPEG": (b"\xff\xd8\xff",), "PNG": (b"\x89PNG\r\n\x1a\n",), "WEBP": (b"RIFF",)}


@dataclass(frozen=True)
class Picture:
    """A kept picture: digest of its bytes (SHA-256, hexadecimal), width and height (pixels), size (bytes)."""

    digest: str
    width: int
    height: int
    size: int


def take_in(upload: bytes, folder: Path) -> Picture:
    """Check an upload, write it anew as a plain JPEG and keep it in `folder` under its digest.

    Parameters
    ----------
    upload : bytes
        The file's content as it came.
    folder : Path
        The store's picture folder.

    Raises
    ------
    InputError
        Too large, no picture of a known kind, damaged, or more pixels than can be meant.
    """
    data, width, height = rewritten(upload)
    digest = hashlib.sha256(data).hexdigest()
    _write_whole(picture_path(folder, digest), data)
    return Picture(digest=digest, width=width, height=height, size=len(data))


def rewritten(upload: bytes) -> tuple[bytes, int, int]:
    """Return an upload decoded and written anew as JPEG, with its width and height in pixels."""
    kind = _kind_of(upload)
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # broken side data is dropped anyway; size is checked below
            with Image.open(io.BytesIO(upload), formats=(kind,)) as picture:
                _check_size(*picture.size)
                upright = ImageOps.exif_transpose(picture)
                plain = _on_white(upright)
                plain.thumbnail((KEPT_SIDE, KEPT_SIDE))
                out = io.BytesIO()
                plain.save(out, format="JPEG", quality=KEPT_QUALITY, exif=b"")
                return out.getvalue(), plain.width, plain.height
    except InputError:
        raise
    except Exception as error:  # a decoder fed with nonsense may raise anything
        raise InputError("this picture cannot be read", key="picture") from error


def picture_path(folder: Path, digest: str) -> Path:
    """Return where the picture of that digest lies.

    Raises
    ------
    InputError
        The digest is not 64 hexadecimal digits: nothing else is ever looked up on the disk.
    """
    if not _DIGEST.match(digest):
        raise InputError("this is no picture's name", key="picture", allowed="64 hexadecimal digits")
    return folder / digest[:2] / f"{digest}.jpg"


def read_picture(folder: Path, digest: str) -> bytes:
    """Return a kept picture's bytes after proving that they still are what was kept.

    Raises
    ------
    InputError
        It is not there, or its bytes changed on the disk.
    """
    path = picture_path(folder, digest)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError("the picture is not in the store", key="picture", value=digest) from error
    if hashlib.sha256(data).hexdigest() != digest:
        raise InputError(
            "the picture's file is damaged; restore it from a backup", key="picture", value=digest
        )
    return data


def keep_bytes(data: bytes, folder: Path, digest: str) -> None:
    """Put a picture from a backup or export back, if its bytes are what the digest says."""
    if hashlib.sha256(data).hexdigest() != digest:
        raise InputError("the picture's bytes do not match its name", key="picture", value=digest)
    _write_whole(picture_path(folder, digest), data)


def _kind_of(upload: bytes) -> str:
    if len(upload) > LARGEST_UPLOAD:
        raise InputError(
            "the picture is too large",
            key="picture",
            value=f"{len(upload) / 1e6:.1f} MB",
            allowed=f"up to {LARGEST_UPLOAD / 1e6:.0f} MB",
        )
    for kind, beginnings in _BEGINNINGS.items():
        if upload.startswith(beginnings) and (kind != "WEBP" or upload[8:12] == b"WEBP"):
            return kind
    raise InputError("this is no picture that can be kept", key="picture", allowed="JPEG, PNG or WebP")


def _check_size(width: int, height: int) -> None:
    if width * height > MOST_PIXELS or max(width, height) > LARGEST_SIDE:
        raise InputError(
            "the picture has too many pixels",
            key="picture",
            value=f"{width} x {height}",
            allowed=f"up to {MOST_PIXELS // 1_000_000} million, no side over {LARGEST_SIDE}",
        )


def _on_white(picture: Image.Image) -> Image.Image:
    """Return the picture in plain colours; what is see-through becomes white."""
    from PIL import Image

    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        see_through = picture.convert("RGBA")
        ground = Image.new("RGBA", see_through.size, "white")
        ground.alpha_composite(see_through)
        return ground.convert("RGB")
    return picture.convert("RGB")


def _write_whole(path: Path, data: bytes) -> None:
    """Write whole or not at all, and onto the disk before any record names it."""
    if path.exists() and path.read_bytes() == data:
        return
    try:
        _write_beside(path, data)
    except OSError as error:
        raise trouble_of_file(error, path) from error


def _write_beside(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new-")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return  # other systems cannot open a folder to sync it
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
