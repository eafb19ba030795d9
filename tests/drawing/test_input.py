"""Bad and odd input: refused in one line, or read all the same."""

import gzip
import os
import time

import numpy as np
import pytest

from filigree.drawing.svg import read_svg
from filigree.errors import FiligreeError
from filigree.job import Sheet

SPACE = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
BODY = f'<svg {SPACE} viewBox="0 0 10 10" width="10mm"><path fill="none" stroke="black" d="M1 1H9V9H1Z"/>%s</svg>'
PLAIN = BODY % ""


def read(data, **settings):
    return read_svg(data if isinstance(data, bytes) else data.encode(), sheet=Sheet(), **settings)


ODD = [
    pytest.param(b"\xef\xbb\xbf" + PLAIN.encode(), id="byte order mark"),
    pytest.param(('<?xml version="1.0" encoding="UTF-16"?>' + PLAIN).encode("utf-16"), id="utf-16"),
    pytest.param(
        ('<?xml version="1.0" encoding="ISO-8859-1"?><!-- é -->' + PLAIN).encode("latin-1"),
        id="latin-1",
    ),
    pytest.param(gzip.compress(PLAIN.encode()), id="gzipped"),
    pytest.param(
        b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
        + PLAIN.encode(),
        id="public doctype",
    ),
    pytest.param(
        b'<!DOCTYPE svg [<!ENTITY e "x"><!ENTITY s "http://www.w3.org/2000/svg">]>'
        + PLAIN.replace('"http://www.w3.org/2000/svg"', '"&s;"').encode(),
        id="small entities",
    ),
    pytest.param(b"\n  " + PLAIN.encode(), id="blanks first"),
    pytest.param(
        PLAIN.replace("<svg ", "<s:svg xmlns:s='http://www.w3.org/2000/svg' ")
        .replace("</svg", "</s:svg")
        .replace("<path", "<s:path")
        .encode(),
        id="prefix",
    ),
    pytest.param(
        b'<!DOCTYPE svg [<!ENTITY out SYSTEM "file:///etc/hostname">]>' + (BODY % "&out;").encode(),
        id="outside entity left out",
    ),
]


@pytest.mark.parametrize("data", ODD)
def test_odd_but_readable(data):
    drawing = read(data)
    assert len(drawing.lines) == 1
    square = [[1, 1], [9, 1], [9, 9], [1, 9], [1, 1]]
    assert drawing.lines[0] == pytest.approx(np.array(square, float))


def nested(depth):
    return BODY % ("<g>" * depth + "</g>" * depth)


LAUGHS = "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10 if i else "ha" * 10}">' for i in range(12))
REFUSED = [
    pytest.param("", "the file is empty", id="empty"),
    pytest.param(" \n", "the file is empty", id="blank"),
    pytest.param("hello", "not an SVG drawing", id="words"),
    pytest.param("<html/>", "holds html", id="html"),
    pytest.param(PLAIN[:-20], "damaged in line 1", id="cut off"),
    pytest.param(nested(300), "256 deep", id="deep"),
    pytest.param(nested(200_000), "256 deep", id="very deep"),
    pytest.param(f"<!DOCTYPE svg [{LAUGHS}]>" + BODY % "&a11;", "entities", id="entity bomb"),
    pytest.param(
        f'<!DOCTYPE svg [<!ENTITY a "{"x" * 1_100_000}">]>' + PLAIN, "entities", id="large entity"
    ),
    pytest.param(BODY % '<g id="a"><use href="#a"/></g>', "holds itself", id="use in itself"),
    pytest.param(
        BODY % '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>',
        "holds itself",
        id="use in a circle",
    ),
    pytest.param(
        BODY
        % (
            '<g id="u0"><path d="M0 0H1"/></g>'
            + "".join(
                f'<g id="u{i}">' + f'<use href="#u{i - 1}"/>' * 10 + "</g>" for i in range(1, 8)
            )
        ),
        "10,000 copies",
        id="copies",
    ),
    pytest.param(BODY % f'<path d="M0 0{"h1" * 1_000_001}"/>', "1,000,000 segments", id="segments"),
    pytest.param(
        BODY % '<path stroke="black" d="M0 0H1e200" transform="scale(1e200)"/>',
        "not finite",
        id="not finite",
    ),
    pytest.param(gzip.compress(b" " * 70_000_000 + PLAIN.encode()), "64 MB", id="swelling pack"),
    pytest.param(gzip.compress(PLAIN.encode())[:-9], "ends too early", id="pack cut off"),
    pytest.param(f"<svg {SPACE}/>", "nothing is drawn", id="empty without size"),
]


@pytest.mark.parametrize(("data", "says"), REFUSED)
def test_refused_in_one_line(data, says):
    start = time.perf_counter()
    with pytest.raises(FiligreeError, match=says) as error:
        read(data)
    assert "\n" not in str(error.value)
    assert time.perf_counter() - start < 20


def test_files(tmp_path):
    art = tmp_path / "vine.svg"
    art.write_text(PLAIN)
    assert read_svg(art, sheet=Sheet()).name == "vine.svg"
    with pytest.raises(FiligreeError, match="no such file"):
        read_svg(tmp_path / "none.svg", sheet=Sheet())
    with pytest.raises(FiligreeError, match="not a file"):
        read_svg(tmp_path, sheet=Sheet())
    os.mkfifo(tmp_path / "pipe.svg")
    with pytest.raises(FiligreeError, match="not a file"):
        read_svg(tmp_path / "pipe.svg", sheet=Sheet())


LEFT_OUT = [
    ("<text>Reeds</text>", "text 'Reeds'"),
    ('<image href="file:///etc/hostname"/>', "image"),
    ("<foreignObject/>", "foreignObject"),
    ("<script>1</script>", "script"),
    ('<use href="other.svg#a"/>', "use of another file"),
    ('<use href="#none"/>', "use of 'none'"),
    ('<path id="p" fill="none" stroke="red" d="M2 2H3 Q"/>', "the rest of path 'p'"),
    ('<path fill="none" stroke="red" filter="url(#f)" d="M2 2H3"/>', "filter of path"),
]


@pytest.mark.parametrize(("body", "what"), LEFT_OUT)
def test_left_out_and_told(body, what):
    skipped = read(BODY % body).skipped
    assert [one.what for one in skipped] == [what]
    assert skipped[0].why


def test_the_same_thing_left_out_often_is_told_once():
    assert read(BODY % ("<image/>" * 3)).skipped[0].what == "image (3 times)"


def test_150_000_lines_in_seconds():
    data = BODY % f'<path fill="none" stroke="black" d="M0 0{"l.01 .02.02-.01" * 75_000}"/>'
    start = time.perf_counter()
    drawing = read(data)
    assert len(drawing.lines[0]) == 1 or drawing.lines
    assert time.perf_counter() - start < 6  # 1.5 s on an idle core


def test_5_000_curves_in_a_blink():
    data = (
        BODY % f'<path fill="none" stroke="black" d="M1 1{"c1 0 1 1 0 1c-1 0-1-1 0-1" * 2_500}"/>'
    )
    read(data)
    start = time.perf_counter()
    read(data)
    assert time.perf_counter() - start < 0.6  # under 0.1 s on an idle core
