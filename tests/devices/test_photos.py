"""A picture becomes a photo of the farm: small, upright, and silent about where it was taken."""

from __future__ import annotations

import io

import pytest
from PIL import ExifTags, Image

from farmdesk.devices.photos import LONGEST_PX, read_photo
from farmdesk.domain.notes import photo_name
from farmdesk.errors import NotUnderstood


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def test_a_telephones_picture_is_turned_made_small_and_forgets_its_place(tmp_path):
    picture = Image.new("RGB", (4000, 3000), "white")
    picture.paste("#cc2020", (0, 0, 4000, 300))
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6  # Exif 2.32: to be turned right by 90 degrees; from memory
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (10.0, 20.0, 30.0)
    picture.save(tmp_path / "taken.jpg", exif=exif)
    photo = read_photo(tmp_path / "taken.jpg")
    kept = opened(photo.data)
    assert kept.format == "JPEG"
    assert kept.size == (LONGEST_PX * 3 // 4, LONGEST_PX)
    red, green, _ = kept.getpixel((kept.width - 20, kept.height // 2))
    assert (red > 180, green < 90) == (True, True), "what was on top is now at the right"
    assert not kept.getexif()
    assert photo.name == photo_name(photo.data)


@pytest.mark.parametrize("mode", ["RGBA", "P", "L", "LA", "1"])
def test_every_kind_of_picture_is_kept(tmp_path, mode):
    Image.new(mode, (30, 20)).save(tmp_path / "one.png")
    assert opened(read_photo(tmp_path / "one.png").data).size == (30, 20)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P"])
def test_what_is_seen_through_becomes_white(tmp_path, mode):
    picture = Image.new("RGBA", (40, 30), (0, 0, 0, 0))
    picture.paste((0, 0, 0, 255), (0, 0, 20, 30))
    picture.convert(mode).save(tmp_path / "cut_out.png")
    kept = opened(read_photo(tmp_path / "cut_out.png").data)
    assert max(kept.getpixel((5, 15))) < 20
    assert min(kept.getpixel((35, 15))) > 235


@pytest.mark.parametrize("data", [b"", b"\xff\xd8\xff\xe0 not a picture", b"text"])
def test_what_is_no_picture_is_named(tmp_path, data):
    (tmp_path / "note.jpg").write_bytes(data)
    with pytest.raises(NotUnderstood) as trouble:
        read_photo(tmp_path / "note.jpg")
    assert trouble.value.problems[0].facts["name"] == "note.jpg"
