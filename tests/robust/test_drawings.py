"""Malformed and hostile SVG through the command line."""

import gzip

import numpy as np
import pytest

from tests.robust.running import INNER, SPACE, SQUARE, accepted, drawing, make, refused

PLAIN = drawing()
PACKED = gzip.compress(PLAIN.encode(), mtime=0)
LAUGHS = "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10 if i else "ha" * 10}">' for i in range(12))
COPIES = '<g id="u0"><path d="M0 0H1"/></g>' + "".join(
    f'<g id="u{i}">' + f'<use href="#u{i - 1}"/>' * 10 + "</g>" for i in range(1, 8)
)


def nested(kind: str, *, deep: int, many: int) -> str:
    """Masks or clip paths, each holding shapes cut by the next."""
    name, units = (
        ("clip-path", "clipPathUnits") if kind == "clipPath" else ("mask", "maskContentUnits")
    )
    held = "".join(
        f'<{kind} id="m{i}" {units}="objectBoundingBox">'
        + "".join(
            f'<rect x="0.{j}" width="0.5" height="0.{9 - j}" fill="white" {name}="url(#m{i + 1})"/>'
            for j in range(many)
        )
        + f"</{kind}>"
        for i in range(deep)
    )
    return f'{held}<rect x="5" y="5" width="20" height="20" {name}="url(#m0)"/>'


BYTES = {
    "empty": b"",
    "blank": b" \n\t",
    "words": b"hello",
    "number": b"12",
    "zeros": bytes(1000),
    "mark only": b"\xef\xbb\xbf",
    "half a mark": b"\xef\xbb",
    "wide mark only": b"\xff\xfe",
    "json": b'{"svg": 1}',
    "html": b"<!DOCTYPE html><html><svg/></html>",
    "other xml": b"<drawing/>",
    "other space": b'<svg xmlns="urn:other"/>',
    "pdf": b"%PDF-1.7\n1 0 obj\n",
    "zip": b"PK\x03\x04" + bytes(40),
    "program": b"\x7fELF" + bytes(64),
    "pack of nothing": gzip.compress(b""),
    "pack of a pack": gzip.compress(PACKED),
    "pack of words": gzip.compress(b"hello"),
    "pack head": b"\x1f\x8b",
    "swelling pack": gzip.compress(b" " * 70_000_000 + PLAIN.encode()),
    "pack with a wrong sum": PACKED[:-8] + b"\0\0\0\0" + PACKED[-4:],
    "no utf-8": PLAIN.replace("<svg", "<!--\xe9--><svg").encode("latin-1"),
    "unknown encoding": b'<?xml version="1.0" encoding="klingon"?>' + PLAIN.encode(),
    "says utf-16, is not": b'<?xml version="1.0" encoding="utf-16"?>' + PLAIN.encode(),
    "half of utf-16": PLAIN.encode("utf-16")[:-1],
    "utf-16 cut": PLAIN.encode("utf-16")[:81],
    "utf-32": PLAIN.encode("utf-32"),
    "nul inside": PLAIN.replace("<path", "\0<path").encode(),
    "ends in the declaration": b'<?xml version="1.0"',
    "declaration late": PLAIN.replace(SQUARE, '<?xml version="1.0"?>').encode(),
    "only a doctype": b"<!DOCTYPE svg>",
    "doctype open": b"<!DOCTYPE svg [" + PLAIN.encode(),
    "two roots": (PLAIN + PLAIN).encode(),
    "words after": (PLAIN + "words").encode(),
    "root not closed": PLAIN.encode()[:-6],
    "crossed tags": drawing("<g><a></g></a>").encode(),
    "attribute twice": drawing('<g id="a" id="b"/>').encode(),
    "no quotes": drawing("<g id=a/>").encode(),
    "angle in a value": drawing('<g id="<"/>').encode(),
    "unknown entity": drawing("&nope;").encode(),
    "unknown entity in a value": drawing('<g id="&nope;"/>').encode(),
    "character 0": drawing("&#0;").encode(),
    "character out of range": drawing("&#xFFFFFFFF;").encode(),
    "control character": drawing("\x01").encode(),
    "comment open": drawing("<!-- ").encode(),
    "section open": drawing("<![CDATA[ ").encode(),
    "instruction open": drawing("<?x ").encode(),
    "entity bomb": drawing("&a11;", head=f"<!DOCTYPE svg [{LAUGHS}]>").encode(),
    "entity bomb in a value": drawing(
        '<g id="&a11;"/>', head=f"<!DOCTYPE svg [{LAUGHS}]>"
    ).encode(),
    "flat entity bomb": drawing(
        "&b;" * 20_000, head=f'<!DOCTYPE svg [<!ENTITY b "{"b" * 20_000}">]>'
    ).encode(),
    "entity of itself": drawing("&a;", head='<!DOCTYPE svg [<!ENTITY a "&a;">]>').encode(),
    "entities in a circle": drawing(
        "&a;", head='<!DOCTYPE svg [<!ENTITY a "&b;"><!ENTITY b "&a;">]>'
    ).encode(),
    "large entity": drawing(head=f'<!DOCTYPE svg [<!ENTITY a "{"x" * 1_100_000}">]>').encode(),
    "use of itself": drawing('<g id="a"><use href="#a"/></g>').encode(),
    "use in a circle": drawing(
        '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'
    ).encode(),
    "use in a circle of three": drawing(
        "".join(f'<g id="{a}"><use xlink:href="#{b}"/></g>' for a, b in ("ab", "bc", "ca"))
    ).encode(),
    "symbol of itself": drawing(
        '<symbol id="a"><use href="#a"/></symbol><use href="#a"/>'
    ).encode(),
    "exploding use": drawing(COPIES).encode(),
    "exploding masks": drawing(nested("mask", deep=8, many=9)).encode(),
    "exploding clip paths": drawing(nested("clipPath", deep=8, many=9)).encode(),
    "nothing drawn": f'<svg {SPACE} width="50mm" height="40mm"/>'.encode(),
    "nothing and no size": f"<svg {SPACE}/>".encode(),
    "scaled out of range": drawing(
        '<path stroke="black" d="M0 0H1e200" transform="scale(1e200)"/>'
    ).encode(),
}
FAR = {
    "line": '<path d="M0 0L1e308 1e308"/>',
    "steps": '<path d="M0 0l1e308 0l1e308 0"/>',
    "curve": '<path d="M0 0C1e308 0 0 1e308 1e308 1e308"/>',
    "smooth curve": '<path d="M0 0C1 1 -1e308 0 1e308 0S1 1 2 2"/>',
    "quadratic": '<path d="M0 0Q1e308 -1e308 5 5T1e308 3"/>',
    "arc": '<path d="M0 0A1e308 1e308 0 0 1 5e307 5e307"/>',
    "tilted arc": '<path d="M0 0A1e308 1e-308 1e308 1 1 1e308 5"/>',
    "circle": '<circle r="1e308" cx="1e308"/>',
    "ellipse": '<ellipse rx="1e308" ry="1e200"/>',
    "rectangle": '<rect x="1e308" width="1e308" height="1e308" rx="1e308"/>',
    "polygon": '<polygon points="0,0 1e308,0 -1e308,1e308"/>',
    "moved": '<path transform="translate(1e308 1e308)" d="M0 0H1"/>',
    "moved twice": '<g transform="scale(1e200)"><path transform="scale(1e200)" d="M0 0H1"/></g>',
    "turned": '<path transform="rotate(45 1e308 -1e308)" d="M0 0H1"/>',
    "merely a light year": '<path d="M0 0H1e19"/>',
}


@pytest.mark.parametrize("shape", FAR.values(), ids=FAR.keys())
def test_lines_beyond_all_measure_are_refused(tmp_path, capsys, shape):
    data = drawing(f'<g fill="none" stroke="black">{shape}</g>')
    refused(tmp_path, capsys, make(tmp_path, save(tmp_path, data)))


LIMITS = [
    ("segments", 5, SQUARE),
    ("copies", 3, '<use href="#f"/>' * 4),
    ("regions", 1, ""),
    ("depth", 2, f"<g><g>{INNER}</g></g>"),
    ("file_mb", 0.001, " " * 2000),
]


@pytest.mark.parametrize(("limit", "most", "body"), LIMITS, ids=[row[0] for row in LIMITS])
def test_limits_can_be_set(tmp_path, capsys, limit, most, body):
    (tmp_path / "job.toml").write_text(f"[reading]\n{limit} = {most}\n")
    data = drawing(f'<g id="f">{INNER}</g>{body}')
    assert str(most) in refused(tmp_path, capsys, make(tmp_path, save(tmp_path, data)))


def save(folder, data):
    art = folder / "art.svg"
    art.write_bytes(data if isinstance(data, bytes) else data.encode())
    return art


@pytest.mark.parametrize("data", BYTES.values(), ids=BYTES.keys())
def test_refused(tmp_path, capsys, data):
    refused(tmp_path, capsys, make(tmp_path, save(tmp_path, data)))


@pytest.mark.parametrize("at", range(3, len(PLAIN) - 1, 9))
def test_a_drawing_cut_off_anywhere_is_refused(tmp_path, capsys, at):
    refused(tmp_path, capsys, make(tmp_path, save(tmp_path, PLAIN[:at])))


@pytest.mark.parametrize("at", range(1, len(PACKED) - 1, 9))
def test_a_pack_cut_off_anywhere_is_refused(tmp_path, capsys, at):
    refused(tmp_path, capsys, make(tmp_path, save(tmp_path, PACKED[:at])))


@pytest.mark.parametrize("seed", range(10))
def test_noise_is_refused(tmp_path, capsys, seed):
    noise = np.random.default_rng(seed).bytes(2000)
    refused(tmp_path, capsys, make(tmp_path, save(tmp_path, noise)))


@pytest.mark.parametrize("depth", [260, 5_000, 100_000])
@pytest.mark.parametrize("tag", ["g", "svg", "a", "switch", "defs", "text", "symbol", "unknown"])
def test_depth_is_refused(tmp_path, capsys, tag, depth):
    data = drawing(f"<{tag}>" * depth + f"</{tag}>" * depth)
    said = refused(tmp_path, capsys, make(tmp_path, save(tmp_path, data)))
    assert "256 deep" in said


SIZES = ["1e308mm", "1e-300mm", "0.5mm", "6000mm", "1e400mm", "99999999999in"]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("side", ["width", "height"])
def test_a_page_no_leather_has_is_refused(tmp_path, capsys, side, size):
    other = "height" if side == "width" else "width"
    data = drawing(size=f'{side}="{size}" {other}="40mm"')
    said = refused(tmp_path, capsys, make(tmp_path, save(tmp_path, data)))
    assert "art.svg" in said


ODD = {
    "mask in itself": drawing(
        '<mask id="m"><rect width="9" height="9" fill="white" mask="url(#m)"/></mask>'
        '<rect width="9" height="9" mask="url(#m)"/>'
    ).encode(),
    "clip path in itself": drawing(
        '<clipPath id="m" clip-path="url(#m)"><rect width="9" height="9"/></clipPath>'
        '<rect width="9" height="9" clip-path="url(#m)"/>'
    ).encode(),
    "style sheet nested deep": drawing(
        "<style>" + "@media all{" * 5_000 + "}" * 5_000 + "</style>"
    ).encode(),
    "selector nested deep": drawing(
        "<style>" + ":not(" * 3_000 + ")" * 3_000 + "{fill:red}</style>"
    ).encode(),
    "style of brackets": drawing(f'<g style="stroke:{"(" * 20_000}"/>').encode(),
    "selector of many steps": drawing(
        f"<style>{'a ' * 60_000}{{}}{'.a>' * 2_000}b{{}}</style>"
    ).encode(),
    "rules for every element": drawing(
        f"<style>{'g{fill:red}' * 2_000}</style>{'<g/>' * 2_000}"
    ).encode(),
    "angle of many digits": drawing(f'<g transform="rotate({"1" * 60_000})"/>').encode(),
    "angle of many digits in a style": drawing(
        f'<g style="transform:rotate({"1" * 60_000})"/>'
    ).encode(),
    "length of many digits": drawing(f'<circle r="{"9" * 60_000}!"/>').encode(),
    "transforms far apart": drawing(f'<g transform="rotate(1){" " * 60_000}!"/>').encode(),
    "arc of many digits": drawing(
        f'<path fill="none" stroke="black" d="M0 0A{"4" * 60_000}/>{"4" * 60_000} 4 30 0 0 9 9"/>'
    ).encode(),
    "colour far from its end": drawing(
        f'<path fill="url(#{" " * 60_000}" d="M2 2H3V3Z"/>'
    ).encode(),
    "fill of crossing hairs": drawing('<path fill="black" d="M5 1T2 3A* 1 0 0 1 4 4"/>').encode(),
    "undeclared prefix": drawing("<x:g/>").encode(),
    "xml 9": b'<?xml version="9"?>' + PLAIN.encode(),
    "byte order mark": b"\xef\xbb\xbf" + PLAIN.encode(),
    "utf-16": ('<?xml version="1.0" encoding="UTF-16"?>' + PLAIN).encode("utf-16"),
    "utf-16 without a declaration": PLAIN.encode("utf-16"),
    "latin-1": ('<?xml version="1.0" encoding="ISO-8859-1"?><!-- \xe9 -->' + PLAIN).encode(
        "latin-1"
    ),
    "packed": PACKED,
    "public doctype": (
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">' + PLAIN
    ).encode(),
    "small entities": drawing("<!-- -->&e;", head='<!DOCTYPE svg [<!ENTITY e "x">]>').encode(),
    "outside entity": drawing(
        "&out;", head='<!DOCTYPE svg [<!ENTITY out SYSTEM "file:///etc/hostname">]>'
    ).encode(),
    "outside parameter entity": drawing(
        head='<!DOCTYPE svg [<!ENTITY % out SYSTEM "file:///etc/hostname"> %out;]>'
    ).encode(),
    "arcs without a radius": drawing(
        '<path fill="none" stroke="black" d="M5 5A0 3 0 0 1 9 9A3 3 0 0 0 9 9"/>'
    ).encode(),
    "arc of no length": drawing(
        '<path fill="none" stroke="black" d="M5 5A3 3 0 1 1 5 5"/>'
    ).encode(),
    "lines twice": drawing(SQUARE + INNER + INNER).encode(),
    "script": drawing("<script>while(true);</script>").encode(),
    "handler": drawing('<g onload="alert(1)"/>').encode(),
    "outside picture": drawing('<image href="http://example.invalid/a.png" width="9"/>').encode(),
    "outside file": drawing('<image href="file:///etc/passwd" width="9"/>').encode(),
    "outside style": drawing(
        '<style>@import url("http://example.invalid/a.css"); path{fill:url(file:///etc/passwd)}</style>'
    ).encode(),
    "outside sheet": ('<?xml-stylesheet href="http://example.invalid/a.css"?>' + PLAIN).encode(),
    "use of another file": drawing('<use href="other.svg#a"/>').encode(),
    "use of nothing": drawing('<use href="#nothing"/><use href=""/><use/>').encode(),
    "broken styles": drawing("<style>{{{}}} @@ path { fill: ; } \\</style>").encode(),
    "broken transform": drawing('<g transform="rotate(" ><path d="M1 1"/></g>').encode(),
    "flat transform": drawing(
        f'<g transform="scale(0)">{INNER}</g><g transform="matrix(0 0 0 0 0 0)">{INNER}</g>'
    ).encode(),
    "numbers that are none": drawing('<circle r="nan" cx="inf"/><rect width="1e999"/>').encode(),
    "negative sizes": drawing('<circle r="-1"/><rect width="-1" height="-1"/>').encode(),
    "odd points": drawing('<polygon points="1,2 3"/><polyline points="x"/><line/>').encode(),
    "odd strokes": drawing(
        '<path d="M3 3H9" stroke="red" stroke-width="-1" stroke-dasharray="0 0" fill="none"/>'
        '<path d="M3 5H9" stroke="red" stroke-width="nan" stroke-dasharray="-1 2" fill="none"/>'
    ).encode(),
    "thousands of dashes": drawing(
        '<path d="M3 3H9" stroke="red" stroke-dasharray="1e-9" fill="none"/>'
    ).encode(),
    "paths of nothing": drawing(
        '<path/><path d=""/><path d="M"/><path d="z"/><path d="M1"/>'
    ).encode(),
    "paints in a circle": drawing(
        '<pattern id="p" href="#q"/><pattern id="q" href="#p"/><path fill="url(#p)" d="M3 3h2v2z"/>'
    ).encode(),
    "clips in a circle": drawing(
        '<clipPath id="c" clip-path="url(#c)"><path d="M0 0h9v9z"/></clipPath>'
        '<path clip-path="url(#c)" d="M3 3h2v2z"/>'
    ).encode(),
    "marker of itself": drawing(
        '<marker id="m"><path marker-end="url(#m)" d="M0 0h1"/></marker>'
        '<path fill="none" stroke="black" marker-end="url(#m)" d="M3 3h2"/>'
    ).encode(),
    "long names": drawing(f'<g id="{"n" * 100_000}" class="{"c " * 5_000}"/>').encode(),
    "stroke wider than the world": drawing(
        '<path fill="none" stroke="white" stroke-width="1e308" d="M3 3H9"/>' + SQUARE + INNER
    ).encode(),
    "dashes longer than the world": drawing(
        '<path fill="none" stroke="black" stroke-dasharray="1e308 1e308" d="M3 3H9"/>'
        '<path fill="none" stroke="black" stroke-dasharray="2" stroke-dashoffset="1e308" d="M3 5H9"/>'
    ).encode(),
    "window larger than the world": drawing(
        f'<svg width="1.7e308" height="1.7e308">{INNER}</svg>'
    ).encode(),
    "sections and instructions": drawing("<![CDATA[ <svg> ]]><?x y?><!-- -->").encode(),
}


@pytest.mark.parametrize("data", ODD.values(), ids=ODD.keys())
def test_odd_but_made(tmp_path, capsys, data):
    accepted(tmp_path, capsys, make(tmp_path, save(tmp_path, data)))
    face = (tmp_path / "cut" / "face.svg").read_text()
    assert "root:" not in face
    assert "<path" in face


TOLD = [  # what is left out of a style, and why
    ('<g style="stroke:' + "(" * 70 + '"/>', "the style of g"),
    ("<style>" + "@media all{" * 70 + "}" * 70 + "</style>", "a style sheet"),
    ("<style>" + "a " * 300 + "{fill:red}</style>", "a rule of a style sheet"),
    ('<g style="transform:rotate(' + "1" * 500 + ')"/>', "the style of g"),
]


@pytest.mark.parametrize(("body", "what"), TOLD)
def test_a_style_that_is_not_read_is_told(tmp_path, capsys, body, what):
    art = tmp_path / "art.svg"
    art.write_text(drawing(body))
    assert f"left out: {what}" in accepted(tmp_path, capsys, make(tmp_path, art))
