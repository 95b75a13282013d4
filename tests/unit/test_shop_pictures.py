"""Picture intake: by content, size and pixels; written anew; kept by digest; no user path on the disk."""

from __future__ import annotations

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageFile
from tests.shop_samples import picture_bytes

from forkwright.shop import pictures
from forkwright.shop.pictures import KEPT_SIDE, keep_bytes, picture_path, read_picture, rewritten, take_in
from forkwright.units import InputError


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
def test_a_picture_is_kept_under_the_digest_of_its_new_bytes(tmp_path, kind):
    """Each known kind comes in, once, and reads back as what was kept."""
    kept = take_in(picture_bytes(kind=kind), tmp_path)
    assert (kept.width, kept.height) == (60, 40)
    assert take_in(picture_bytes(kind=kind), tmp_path) == kept
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert files == [picture_path(tmp_path, kept.digest)]
    assert Image.open(io.BytesIO(read_picture(tmp_path, kept.digest))).format == "JPEG"


def test_hidden_data_is_dropped_and_the_picture_stands_upright(tmp_path):
    """Place of taking, remarks and trailing bytes are gone; a turned picture is turned back."""
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif[0x010E] = "secret remark"
    exif.get_ifd(0x8825)[1] = "N"
    Image.new("RGB", (60, 40), "red").save(out, format="JPEG", exif=exif)
    kept = take_in(out.getvalue() + b"<script>secret trailer</script>", tmp_path)
    data = read_picture(tmp_path, kept.digest)
    assert b"secret" not in data
    assert not Image.open(io.BytesIO(data)).getexif()
    assert (kept.width, kept.height) == (40, 60)


def test_a_large_picture_is_brought_down_and_see_through_becomes_white():
    """The longer side is limited; a transparent ground is white, not black."""
    _, width, height = rewritten(picture_bytes(size=(3000, 1500), kind="JPEG"))
    assert (width, height) == (KEPT_SIDE, KEPT_SIDE // 2)
    out = io.BytesIO()
    Image.new("RGBA", (8, 8), (0, 0, 0, 0)).save(out, format="PNG")
    data, _, _ = rewritten(out.getvalue())
    assert Image.open(io.BytesIO(data)).getpixel((4, 4)) == (255, 255, 255)


@pytest.mark.parametrize(
    "upload",
    [
        b"",
        b"GIF89a" + b"\0" * 100,
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"%PDF-1.7",
        b"RIFF\0\0\0\0WAVE",
        b"\xff\xd8\xff" + b"\0" * 50,
        picture_bytes()[:60],
    ],
)
def test_anything_but_a_whole_picture_is_refused(tmp_path, upload):
    """Other kinds, empty and cut-off uploads are refused and leave nothing behind."""
    with pytest.raises(InputError, match="picture"):
        take_in(upload, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_too_many_bytes_or_pixels_are_refused_before_decoding(monkeypatch):
    """A tiny file that would unpack to a huge picture is refused by its stated size."""
    opened: list[tuple[int, int]] = []
    load = ImageFile.ImageFile.load
    monkeypatch.setattr(ImageFile.ImageFile, "load", lambda self: (opened.append(self.size), load(self))[1])
    rewritten(picture_bytes())
    assert opened.pop() == (60, 40)  # a decoded picture is noticed
    opened.clear()
    monkeypatch.setattr(pictures, "MOST_PIXELS", 1000)
    with pytest.raises(InputError, match="pixels"):
        rewritten(picture_bytes(size=(100, 100)))
    monkeypatch.setattr(pictures, "LARGEST_UPLOAD", 10)
    with pytest.raises(InputError, match="too large"):
        rewritten(picture_bytes())
    assert opened == []


@pytest.mark.parametrize(
    "name", ["", "../../etc/passwd", "a" * 63, "A" * 64, "a" * 64 + "\n", "/" * 64, "a" * 62 + "/.", "é" * 64]
)
def test_nothing_but_a_digest_is_ever_looked_up(tmp_path, name):
    """Paths, short names, upper case and trailing line ends are refused."""
    for call in (lambda: picture_path(tmp_path, name), lambda: read_picture(tmp_path, name)):
        with pytest.raises(InputError):
            call()
    with pytest.raises(InputError):
        keep_bytes(b"x", tmp_path, name)


def test_a_changed_picture_on_the_disk_is_noticed(tmp_path):
    """A flipped byte does not go out as the picture."""
    kept = take_in(picture_bytes(), tmp_path)
    path = picture_path(tmp_path, kept.digest)
    data = bytearray(path.read_bytes())
    data[-3] ^= 1
    path.write_bytes(data)
    with pytest.raises(InputError, match="damaged"):
        read_picture(tmp_path, kept.digest)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(["PNG", "JPEG", "WEBP"]), st.data())
def test_a_picture_with_flipped_and_cut_bytes_never_breaks_the_intake(kind, data):
    """Damaged uploads are either kept as some picture or refused as input; nothing else happens."""
    upload = bytearray(picture_bytes(kind=kind))
    for _ in range(data.draw(st.integers(1, 8))):
        upload[data.draw(st.integers(0, len(upload) - 1))] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(upload)))
    try:
        kept, width, height = rewritten(bytes(upload[:cut]))
    except InputError:
        return
    assert Image.open(io.BytesIO(kept)).size == (width, height)
