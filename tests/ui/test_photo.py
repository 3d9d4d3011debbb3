"""A photo of the bench: read from any file, kept in the session, printed."""

import re
import struct
import threading
import zlib

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QColor, QDropEvent, QImage, QImageWriter

from benchapp.acquisition.wishes import Describe, NewSession
from benchapp.records.photo import MOST_BYTES, PHOTO, jpeg_size_px, photo_of, photo_text
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from benchapp.ui.screens.bench.photo_file import LONGEST_SIDE_PX, PhotoRead, read_photo
from benchapp.ui.widgets.photo_view import PhotoView, image_of
from tests.ui.fake_bench import FakeRecording

PLACE = b"52 deg 31' N"


def picture(width=64, height=48):
    """Return a picture whose left half is red and whose right half is blue."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor("blue"))
    for x in range(width // 2):
        for y in range(height):
            image.setPixelColor(x, y, QColor("red"))
    return image


def exif(orientation=1, place=PLACE):
    """Return an Exif segment with an orientation, a description and a position."""
    text = place + b"\x00"
    entries = struct.pack("<HHIHH", 0x0112, 3, 1, orientation, 0)
    at = 8 + 2 + 2 * 12 + 4
    entries = struct.pack("<HHII", 0x010E, 2, len(text), at) + entries
    tiff = b"II*\x00\x08\x00\x00\x00" + struct.pack("<H", 2) + entries + b"\x00" * 4 + text
    body = b"Exif\x00\x00" + tiff
    return b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body


@pytest.fixture
def photo(tmp_path):
    """Write a photo as a camera does: a description, a place and an orientation beside the picture."""

    def made(name="bench.jpg", *, width=64, height=48, orientation=1):
        path = tmp_path / name
        writer = QImageWriter(str(path), b"jpeg")
        writer.setText("Author", "Somebody Private")
        writer.setQuality(95)
        assert writer.write(picture(width, height))
        whole = path.read_bytes()
        path.write_bytes(whole[:2] + exif(orientation) + whole[2:])
        return path

    return made


def test_a_photo_keeps_its_picture_and_nothing_that_was_written_beside_it(qapp, photo):
    path = photo()
    assert PLACE in path.read_bytes()
    assert b"Somebody Private" in path.read_bytes()
    jpeg = read_photo(path).jpeg
    for told in (PLACE, b"Somebody Private", b"Exif", b"ICC_PROFILE", b"Author"):
        assert told not in jpeg
    shown = image_of(jpeg)
    assert (shown.width(), shown.height()) == jpeg_size_px(jpeg) == (64, 48)
    assert shown.pixelColor(8, 24).red() > 200
    assert shown.pixelColor(56, 24).blue() > 200


def test_a_photo_taken_with_the_camera_turned_stands_upright(qapp, photo):
    jpeg = read_photo(photo(orientation=6)).jpeg  # to be turned a quarter clockwise
    assert jpeg_size_px(jpeg) == (48, 64)
    shown = image_of(jpeg)
    assert shown.pixelColor(24, 6).red() > 200
    assert shown.pixelColor(24, 58).blue() > 200


def test_a_large_photo_is_made_smaller(qapp, photo):
    jpeg = read_photo(photo(width=3000, height=1000)).jpeg
    assert jpeg_size_px(jpeg) == (LONGEST_SIDE_PX, 533)
    assert len(jpeg) <= MOST_BYTES


def test_what_shines_through_stands_on_white_and_texts_of_a_png_stay_behind(qapp, tmp_path):
    image = QImage(20, 20, QImage.Format.Format_ARGB32)
    image.fill(0)
    image.setText("Comment", "secret place")
    path = tmp_path / "clear.png"
    assert image.save(str(path))
    jpeg = read_photo(path).jpeg
    assert image_of(jpeg).pixelColor(10, 10).name() == "#ffffff"
    assert b"secret place" not in jpeg


def png_of(width, height):
    """Return a PNG that says it is so large, without its pixels."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = [(b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 100)), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in chunks
    )


@pytest.mark.qt_log_ignore("JPEG", "PNG", "libpng")
@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.jpg", b"", "no JPEG and no PNG"),
        ("a.jpg", b"<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>", "no JPEG and no PNG"),
        ("a.png", b"GIF89a\x01\x00\x01\x00\x00\x00\x00;", "no JPEG and no PNG"),
        ("a.jpg", b"\xff\xd8\xff\xe0" + b"\x00" * 40, "does not say how large|damaged|no JPEG"),
        ("bomb.png", png_of(60_000, 60_000), "60000 by 60000 pixels"),
        ("cut.png", png_of(300, 300), "damaged"),
    ],
)
def test_a_file_that_is_no_photo_is_refused_in_words_and_nothing_is_changed(qapp, tmp_path, name, content, said):
    path = tmp_path / name
    path.write_bytes(content)
    found = read_photo(path)
    assert found.jpeg is None
    assert re.search(said, found.refusal)
    assert "Choose a photo as JPEG or PNG" in found.refusal


def test_a_folder_and_a_file_that_is_gone_are_refused_in_words(qapp, tmp_path):
    for path in (tmp_path, tmp_path / "gone.jpg"):
        assert "cannot be read" in read_photo(path).refusal


@pytest.mark.parametrize(
    "text", ["", "no base64!", photo_text(b"GIF89a"), photo_text(b"\xff\xd8\xff\xd9"), "A" * 3_000_000]
)
def test_a_session_s_photo_that_is_none_is_as_if_there_were_none(text):
    assert photo_of(text) is None


def test_a_photo_goes_into_the_text_and_back(qapp, photo):
    jpeg = read_photo(photo()).jpeg
    assert photo_of(photo_text(jpeg)) == jpeg


def segments(jpeg):
    """Return a JPEG's bytes up to its first scan, that scan with its data, and what follows."""
    scan = jpeg.index(b"\xff\xda")
    return jpeg[:scan], jpeg[scan:-2], jpeg[-2:]


def many_scans(jpeg, count):
    head, scan, end = segments(jpeg)
    return head + scan * count + end


def test_a_session_s_picture_of_many_scans_is_never_decoded(qapp, photo):
    jpeg = read_photo(photo()).jpeg
    assert many_scans(jpeg, 1) == jpeg
    for count in (2, 3, 500):
        bomb = many_scans(jpeg, count)
        assert jpeg_size_px(bomb) is None
        assert photo_of(photo_text(bomb)) is None
        assert image_of(bomb).isNull()


def test_a_session_s_progressive_picture_is_never_decoded(qapp, tmp_path):
    writer = QImageWriter(str(tmp_path / "p.jpg"), b"jpeg")
    writer.setProgressiveScanWrite(True)
    assert writer.write(picture())
    progressive = (tmp_path / "p.jpg").read_bytes()
    assert b"\xff\xc2" in progressive
    assert jpeg_size_px(progressive) is None
    assert image_of(progressive).isNull()
    # what a person chooses may be one: it is made anew, with one scan
    assert jpeg_size_px(read_photo(tmp_path / "p.jpg").jpeg) == (64, 48)


def test_a_chosen_picture_of_thousands_of_scans_is_refused_before_it_is_decoded(qapp, photo, tmp_path):
    (tmp_path / "bomb.jpg").write_bytes(many_scans(photo().read_bytes(), 10_000))
    assert "more passes than a camera makes" in read_photo(tmp_path / "bomb.jpg").refusal


def test_a_session_s_picture_that_is_larger_than_any_kept_is_not_decoded(qapp, photo):
    jpeg = bytearray(read_photo(photo()).jpeg)
    frame = jpeg.index(b"\xff\xc0")
    jpeg[frame + 5 : frame + 9] = struct.pack(">HH", 2049, 48)
    assert jpeg_size_px(bytes(jpeg)) is None


# On the page -------------------------------------------------------------------------------------------------------


def test_a_photo_goes_into_the_session_when_it_begins_and_no_other_session_gets_it(practising, qtbot, settle, photo):
    window, recording = practising()
    window.go(Step.BENCH)
    take(qtbot, window.pages.bench.photo, photo())
    assert window.pages.bench.photo.picture.isVisible()
    assert not any(isinstance(wish, Describe) for wish in recording.wishes)
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.start_button.click()
    settle(window)
    kinds = [type(wish) for wish in recording.wishes]
    assert kinds.index(NewSession) < kinds.index(Describe)
    told = next(wish for wish in recording.wishes if isinstance(wish, Describe))
    assert photo_of(told.bench[PHOTO]) == window.pages.bench.photo.jpeg
    assert kinds.count(Describe) == 1
    recording.tell(session="")
    settle(window)
    assert window.pages.bench.photo.jpeg is None


def test_a_photo_may_come_while_the_session_is_being_recorded_and_be_taken_away(practising, qtbot, settle, photo):
    window, recording = practising(FakeRecording(Origin.PROBE))
    recording.tell(session="/somewhere/a.t2h")
    settle(window)
    take(qtbot, window.pages.bench.photo, photo())
    assert photo_of(recording.wishes[-1].bench[PHOTO]) is not None
    window.pages.bench.photo.remove_button.click()
    assert recording.wishes[-1] == Describe(bench={PHOTO: ""})


def test_a_photo_that_is_refused_leaves_the_one_that_is_there(practising, qtbot, photo, tmp_path):
    window, _ = practising()
    window.go(Step.BENCH)
    take(qtbot, window.pages.bench.photo, photo())
    kept = window.pages.bench.photo.jpeg
    (tmp_path / "bad.jpg").write_bytes(b"nothing")
    take(qtbot, window.pages.bench.photo, tmp_path / "bad.jpg")
    assert window.pages.bench.photo.jpeg == kept
    assert "no JPEG" in window.pages.bench.photo.said.text()


def take(qtbot, card, path):
    """Take a file and wait until it is read."""
    card.take(path)
    qtbot.waitUntil(lambda: not card.busy)


def test_a_photo_that_takes_too_long_is_left_and_the_window_goes_on(practising, photo, qtbot, monkeypatch):
    """A decoder that never ends is held until the test is over; the window's thread is never in it."""
    window, _ = practising()
    window.go(Step.BENCH)
    card, free, held_by = window.pages.bench.photo, threading.Event(), []

    def hang(path):
        held_by.append(threading.current_thread())
        free.wait(60)
        return PhotoRead(jpeg=b"late")

    monkeypatch.setattr("benchapp.ui.screens.bench.photo_reading.read_photo", hang)
    monkeypatch.setattr("benchapp.ui.screens.bench.photo_reading.LONGEST_S", 0.2)
    try:
        card.take(photo())
        assert card.busy
        assert "Looking at the photo" in card.said.text()
        qtbot.waitUntil(lambda: not card.busy)
        assert held_by[0] is not threading.main_thread()
        assert "takes longer than 0 s" in card.said.text()
        assert card.jpeg is None
    finally:
        free.set()
        held_by[0].join(60)


def dropped(widget, path):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    buttons, keys = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    event = QDropEvent(QPointF(QPoint(9, 9)), Qt.DropAction.CopyAction, data, buttons, keys)
    widget.dropEvent(event)


def test_a_photo_dropped_on_the_page_is_taken(practising, qtbot, photo):
    window, _ = practising()
    window.go(Step.BENCH)
    dropped(window.pages.bench, photo())
    qtbot.waitUntil(lambda: not window.pages.bench.photo.busy)
    assert window.pages.bench.photo.jpeg is not None


@pytest.mark.qt_log_ignore("JPEG")
def test_a_photo_that_cannot_be_shown_says_so(qtbot):
    view = PhotoView(b"\xff\xd8 broken", alt="a", caption="b")
    qtbot.addWidget(view)
    assert "damaged" in view.caption.text()
