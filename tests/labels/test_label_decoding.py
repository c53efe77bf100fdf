"""Every kind of label on every stock is read by a decoder that knows nothing of the farm."""

import numpy
import pypdfium2
import pytest
import zxingcpp
from label_samples import usual_items
from PIL import Image, ImageFilter

from farmdesk.labels.cards import card_pages
from farmdesk.labels.sheets import label_corner_mm, label_pages
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.paper.page_pdf import write_pages

DOTS_PER_INCH = {203: 203.2, 300: 300.0}
STOCKS = shipped_stocks()


def blurred(image):
    return image.filter(ImageFilter.GaussianBlur(0.8))


def rotated(image, degrees):
    return image.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=255)


def noisy(image):
    """Grey grain all over and one pixel in two hundred turned over, the same each time."""
    chance = numpy.random.default_rng(128)
    pixels = numpy.asarray(image, dtype=float)
    pixels = pixels + chance.normal(0, 18, pixels.shape)
    turned = chance.random(pixels.shape) < 0.005
    pixels[turned] = 255 - pixels[turned]
    return Image.fromarray(pixels.clip(0, 255).astype("uint8"))


WEAR = {
    "as printed": lambda image: image,
    "blurred": blurred,
    "turned by 1 degree": lambda image: rotated(image, 1),
    "turned by -3 degrees": lambda image: rotated(image, -3),
    "noisy": noisy,
    "blurred, turned and noisy": lambda image: noisy(rotated(blurred(image), 2)),
}


def decode(image):
    return [found.text for found in zxingcpp.read_barcodes(image, zxingcpp.BarcodeFormat.Code128)]


def render(path, dpi):
    with pypdfium2.PdfDocument(path) as document:
        return [page.render(scale=dpi / 72, grayscale=True).to_pil() for page in document]


def label_images(stock, images, count, dpi):
    """Each label cut out of the rendered pages."""
    width, height = stock.label_width_um / 1000, stock.label_height_um / 1000
    for number in range(count):
        page, place = divmod(number, stock.labels)
        left, top = label_corner_mm(stock, place)
        box = [round(value / 25.4 * dpi) for value in (left, top, left + width, top + height)]
        yield images[page].crop(box)


@pytest.mark.parametrize("dpi", DOTS_PER_INCH)
@pytest.mark.parametrize("name", sorted(STOCKS))
def test_every_kind_is_read_on_every_stock_even_when_worn(name, dpi, tmp_path):
    stock, items = STOCKS[name], usual_items()
    path = tmp_path / "labels.pdf"
    write_pages(label_pages(items, stock), path)
    dots = DOTS_PER_INCH[dpi]
    unread = [
        (item.kind, wear)
        for item, image in zip(
            items, label_images(stock, render(path, dots), len(items), dots), strict=True
        )
        for wear, spoil in WEAR.items()
        if decode(spoil(image)) != [item.code]
    ]
    assert not unread


@pytest.mark.parametrize("page", ["a4", "letter"])
def test_all_wall_cards_of_a_page_are_read(page, tmp_path):
    items = [item for item in usual_items() for _ in range(2)][:7]
    path = tmp_path / "cards.pdf"
    assert write_pages(card_pages(items, page), path) == 2
    found = [code for image in render(path, 203.2) for code in decode(image)]
    assert sorted(found) == sorted(item.code for item in items)


def test_a_whole_used_sheet_is_read(tmp_path):
    stock = STOCKS["letter-3x10"]
    items = usual_items() * 6
    path = tmp_path / "labels.pdf"
    assert write_pages(label_pages(items, stock, start=8), path) == 2
    images = render(path, 300)
    for number, item in enumerate(items):
        page, place = divmod(number + 7, stock.labels)
        left, top = label_corner_mm(stock, place)
        box = [left, top, left + stock.label_width_um / 1000, top + stock.label_height_um / 1000]
        assert decode(images[page].crop([round(v / 25.4 * 300) for v in box])) == [item.code]
