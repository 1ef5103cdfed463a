"""Photos: what is taken, what is refused, and what of a picture is kept."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib

import pytest
from api_plant import Plant
from fastapi.testclient import TestClient
from PIL import Image


def picture(kind: str = "JPEG", size: tuple[int, int] = (64, 40), **more: object) -> bytes:
    out = io.BytesIO()
    image = Image.new("RGB", size, (200, 30, 30))
    image.paste((20, 200, 20), (0, 0, size[0] // 2, size[1]))
    image.save(out, kind, **more)
    return out.getvalue()


def send(client: TestClient, content: bytes, kind: str = "image/jpeg", sha256: str | None = None):  # type: ignore[no-untyped-def]
    name = sha256 or hashlib.sha256(content).hexdigest()
    return client.put(f"/api/photos/{name}", content=content, headers={"content-type": kind})


@pytest.mark.parametrize(
    ("kind", "type_"), [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/webp")]
)
def test_a_photo_goes_in_and_comes_back_by_the_hash_of_what_was_sent(
    technician: TestClient, kind: str, type_: str
) -> None:
    sent = picture(kind)
    name = hashlib.sha256(sent).hexdigest()
    first, again = send(technician, sent, type_), send(technician, sent, type_)
    assert first.status_code == 201
    assert again.json() == first.json()
    back = technician.get(f"/api/photos/{name}")
    assert back.status_code == 200
    shown = Image.open(io.BytesIO(back.content))
    assert shown.size == (64, 40)
    red, green, _ = shown.convert("RGB").getpixel((10, 20))  # type: ignore[misc]
    assert green > 150 > red
    assert "sandbox" in back.headers["content-security-policy"]
    assert back.headers["content-disposition"].startswith("inline; filename=")
    assert back.headers["x-content-type-options"] == "nosniff"


def test_place_owner_and_device_are_gone_and_the_picture_is_upright(technician: TestClient) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # turned a quarter
    exif[0x010F] = "PhoneMaker-secret"
    exif.get_ifd(0x8825)[2] = (52.0, 13.0, 24.0)  # GPS latitude
    sent = picture(exif=exif, comment=b"comment-secret")
    assert b"secret" in sent
    name = hashlib.sha256(sent).hexdigest()
    assert send(technician, sent).status_code == 201
    back = technician.get(f"/api/photos/{name}").content
    shown = Image.open(io.BytesIO(back))
    assert shown.size == (40, 64)
    assert not dict(shown.getexif())
    assert b"secret" not in back


def test_a_png_keeps_no_text(technician: TestClient) -> None:
    from PIL.PngImagePlugin import PngInfo

    info = PngInfo()
    info.add_text("Author", "png-secret")
    sent = picture("PNG", pnginfo=info)
    assert b"png-secret" in sent
    send(technician, sent, "image/png")
    assert b"png-secret" not in technician.get(f"/api/photos/{hashlib.sha256(sent).hexdigest()}").content


def test_what_hides_behind_a_picture_is_not_kept(technician: TestClient) -> None:
    sent = picture() + b"<script>alert('hidden')</script>"
    assert send(technician, sent).status_code == 201
    back = technician.get(f"/api/photos/{hashlib.sha256(sent).hexdigest()}")
    assert b"hidden" not in back.content


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png_bomb(width: int, height: int) -> bytes:
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("content", "kind", "status", "code"),
    [
        (picture(size=(90, 90))[:300], "image/jpeg", 422, "not_a_picture"),
        (picture("PNG", (91, 91))[:100], "image/png", 422, "not_a_picture"),
        (picture("PNG", (92, 92)), "image/jpeg", 422, "not_a_picture"),  # says another type than it is
        (b"GIF89a" + b"\0" * 100, "image/jpeg", 422, "not_a_picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='x'/>", "image/svg+xml", 415, "unsupported_type"),
        (b"%PDF-1.4", "application/pdf", 415, "unsupported_type"),
        (picture(size=(93, 93)), "", 415, "unsupported_type"),
        (b"", "image/jpeg", 422, "not_a_picture"),
        (png_bomb(8000, 6000), "image/png", 413, "too_many_pixels"),
        (png_bomb(60_000, 60_000), "image/png", 413, "too_many_pixels"),
        (png_bomb(2**31 - 1, 2**31 - 1), "image/png", 413, "too_many_pixels"),
        (b"\xff" * (10 * 1024 * 1024 + 1), "image/jpeg", 413, "too_large"),
    ],
    ids=lambda one: f"{len(one)} bytes" if isinstance(one, bytes) else str(one),
)
def test_refused(technician: TestClient, content: bytes, kind: str, status: int, code: str) -> None:
    answer = send(technician, content, kind)
    assert (answer.status_code, answer.json()["error"]["code"]) == (status, code)
    assert technician.get(f"/api/photos/{hashlib.sha256(content).hexdigest()}").status_code == 404


def test_another_hash_than_the_bytes_have_is_refused(technician: TestClient) -> None:
    answer = send(technician, picture(), sha256="c" * 64)
    assert answer.json()["error"]["code"] == "hash_differs"


def test_no_half_file_is_left_behind(plant: Plant, technician: TestClient) -> None:
    send(technician, picture("PNG", (94, 94))[:100], "image/png")
    left = [path.name for path in plant.rooms.photos.folder.rglob(".*")]
    assert left == []
