"""Settings and options that cannot be used, through the command line."""

import pytest

from tests.robust.running import drawing, make, refused

NUMBERS = [
    "sheet.width", "sheet.art_height", "sheet.rim", "cut.kerf", "cut.bevel", "cut.stretch_along",
    "limits.bridge", "limits.gap", "limits.tone", "limits.change", "reading.depth",
    "reading.pixels_mp", "stitch.pitch", "backing.shrink",
]  # fmt: skip
WRONG = ['"x"', "true", "[1]", "{a = 1}", "nan", "inf", "-inf", "-1", "1e308", "1979-05-27"]
TEXTS = {
    "words": "hello",
    "half a table": "[face",
    "no value": "[face]\nthickness =",
    "key twice": "[face]\ncolour = 'red'\ncolour = 'blue'",
    "table twice": "[face]\n[face]",
    "table as a value": "face = 3",
    "list as a table": "[[face]]\ncolour = 'red'",
    "zero bytes": "\0\0\0",
    "deep lists": "a = " + "[" * 50_000,
    "deep lists closed": "a = " + "[" * 5_000 + "]" * 5_000,
    "deep tables": "a = " + "{a = " * 5_000,
    "deep names": "[" + ".".join("a" * 5_000) + "]",
    "long number": "[sheet]\nwidth = " + "9" * 5_000,
    "long hexadecimal": "[sheet]\nwidth = 0x" + "f" * 5_000,
    "bridges reversed": "[limits]\nbridge = 1\nbridge_stop = 3",
    "openings reversed": "[limits]\nopening_min = 9\nopening_max = 3",
    "thickness reversed": "[face]\nthickness = '9-2 oz'",
    "thickness of nothing": "[face]\nthickness = ''\n[inlay]\nthickness = '0 mm'",
    "thickness without end": "[face]\nthickness = 'inf mm'",
    "thickness below nothing": "[face]\nthickness = '-2 mm'",
    "thickness in furlongs": "[face]\nthickness = '2 furlong'",
    "colour unknown": "[face]\ncolour = 'blurple'",
    "colour cut short": "[inlay]\ncolour = '#12'",
    "way unknown": "[cut]\nway = 'teeth'",
    "point of one": "[choose]\nopen = [[1]]",
    "point of three": "[choose]\nopen = [[1, 2, 3]]",
    "point of words": "[choose]\nopen = [['a', 'b']]",
    "point not finite": "[choose]\nopen = [[nan, 2]]",
    "points open and kept": "[choose]\nopen = [[20, 20]]\nkeep = [[20, 20]]",
    "number of no field": "[choose]\nopen_numbers = [900]",
    "number below nothing": "[choose]\nkeep_numbers = [-1]",
    "box reversed": "[[use.zones]]\nname = 'a'\nbox = [9, 9, 1, 1]",
    "box of three": "[[use.zones]]\nname = 'a'\nbox = [9, 9, 1]",
    "box far away": "[[use.zones]]\nname = 'a'\nbox = [0, 0, 1e308, 1e308]",
    "zone without a name": "[[use.zones]]\nname = ''\nbox = [0, 0, 9, 9]",
    "zone with a name of two lines": '[[use.zones]]\nname = "a\\nb"\nbox = [0, 0, 9, 9]',
    "zone that rings": '[[use.zones]]\nname = "a\\u0007"\nbox = [0, 0, 9, 9]',
    "zone with an endless name": f"[[use.zones]]\nname = '{'a' * 50_000}'\nbox = [0, 0, 9, 9]",
    "zones without end": "[[use.zones]]\nname = 'a'\nbox = [0, 0, 9, 9]\n" * 2_000,
    "hole far away": "[[use.holes]]\nat = [-1e155, 3]\ndiameter = 3",
    "holes without end": "[[use.holes]]\nat = [3, 3]\ndiameter = 3\n" * 2_000,
    "bend far away": "[[use.bends]]\nstart = [1e308, -1e308]\nend = [5, 5]",
    "bend of one end": "[[use.bends]]\nstart = [1, 1]",
    "line to close far away": "[[close]]\nstart = [-1e308, 3]\nend = [20, 20]",
    "line to close without end": "[[close]]\nstart = [1, 1]",
    "lines to close without number": "[[close]]\nstart = [1, 1]\nend = [49, 39]\n" * 20_000,
    "bridge far away": "[[bridge]]\nstart = [1e9, 20]\nend = [20, 20]",
    "bridge across nothing": "[[bridge]]\nstart = [20, 20]\nend = [20, 20]",
    "bridge of no width": "[[bridge]]\nstart = [1, 20]\nend = [49, 20]\nwidth = 0",
    "bridge that fills an opening": "[choose]\nopen = [[25, 20]]\n[[bridge]]\nstart = [10, 20]\n"
    "end = [40, 20]\nwidth = 5000",
    "bridges without number": "[[bridge]]\nstart = [1, 20]\nend = [49, 20]\n" * 2_000,
    "bridge wanted of no width": "[limits]\nbridge = 0",
    "strand of no length": "[limits]\nstrand = 0",
    "tongue of no length": "[limits]\ntongue = 0",
    "glued tongue of no length": "[limits]\ntongue_glued = 0",
    "mending far away": "[[mend]]\nhow = 'widen'\nat = [1e308, 20]",
    "mending of no kind": "[[mend]]\nhow = ''\nat = [25, 20]",
    "mending no place": "[[mend]]\nhow = 'widen'",
    "colour where no opening is": "[[choose.colours]]\nat = [-1e6, 3]\ninlay = 'red'",
    "scale of far points": "[scan]\nscale = [[1e308, 0], [3, 3], 5]",
    "rim wider than a sheet": "[sheet]\nrim = 5000",
    "rim of nothing": "[sheet]\nrim = 1e-300",
    "stitches off the piece": "[stitch]\ninset = 5000",
    "pins larger than their margin": "[pins]\nmargin = 0\ndiameter = 10",
    "leather without density": "[[leathers]]\nname = 'a'",
    "need unknown": "[use]\nneeds = ['x']",
    "use unknown": "[use]\nkind = 'hovercraft'",
    "pull unknown": "[use]\npull = 'sideways'",
}
NEAREST = [
    ("[fce]", "face"),
    ("[limit]", "limits"),
    ("[limits]\nbrige = 2", "bridge"),
    ("[limits]\nopening_mim = 2", "opening_min"),
    ("[face]\nthicknes = '2 mm'", "thickness"),
    ("[cut]\nkerv = 0.1", "kerf"),
    ("[choose]\nopne = []", "open"),
    ("[sheet]\nwith = 3", "width"),
]
LENGTHS = ["--width", "--height", "--art-width", "--art-height", "--rim"]
NO_LENGTH = [
    "",
    " ",
    "abc",
    "0",
    "-1",
    "nan",
    "inf",
    "1e308",
    "1e-9",
    "6 m",
    "3 furlongs",
    "1,5,2",
    "\n",
]
OPTIONS = [
    ["--face", "thick"], ["--face", "0 oz"], ["--face", "-1 oz"], ["--face", "nan oz"],
    ["--face", "1e9 oz"], ["--face", "5-4 oz"], ["--face", ""], ["--face-colour", "blurple"],
    ["--inlay", "blurple"], ["--backing", "#12"], ["--cut", "teeth"], ["--files", "some"],
    ["--open", "x"], ["--open", "0"], ["--open", "-1"], ["--open", "900"], ["--open", "1e9"],
    ["--open", "9" * 5000], ["--keep", "1.5"], ["--open", "2", "--keep", "2"], ["--load", "up"],
    ["--load", "nan"], ["--marks", "3"], ["--marks", "0x0"], ["--marks", "nanxnan"],
    ["--rim", "4999"], ["--dark", "maybe"], ["--rim-shape", "star"], ["--job", "none.toml"], ["--job", "."],
    ["--job", "/dev/zero"], ["--unknown"], ["--width"], ["-o"], ["more.svg"], ["--json=yes"],
]  # fmt: skip


@pytest.fixture
def art(tmp_path):
    path = tmp_path / "art.svg"
    path.write_text(drawing())
    return path


@pytest.mark.parametrize("value", WRONG)
@pytest.mark.parametrize("key", NUMBERS)
def test_a_value_that_is_no_such_number(tmp_path, capsys, art, key, value):
    table, name = key.split(".")
    (tmp_path / "job.toml").write_text(f"[{table}]\n{name} = {value}\n")
    assert name in refused(tmp_path, capsys, make(tmp_path, art))


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_a_file_that_cannot_be_used(tmp_path, capsys, art, text):
    (tmp_path / "job.toml").write_text(text)
    refused(tmp_path, capsys, make(tmp_path, art))


@pytest.mark.parametrize(("text", "meant"), NEAREST)
def test_a_misspelt_key_is_told_the_nearest(tmp_path, capsys, art, text, meant):
    (tmp_path / "job.toml").write_text(text)
    assert meant in refused(tmp_path, capsys, make(tmp_path, art))


@pytest.mark.parametrize("data", [b"\xff\xfe[\0f\0", b"[face]\ncolour = '\xe9'", b"\x1f\x8b\x08"])
def test_a_file_that_is_no_utf_8(tmp_path, capsys, art, data):
    (tmp_path / "job.toml").write_bytes(data)
    refused(tmp_path, capsys, make(tmp_path, art))


@pytest.mark.parametrize("value", NO_LENGTH)
@pytest.mark.parametrize("option", LENGTHS)
def test_an_option_that_is_no_length(tmp_path, capsys, art, option, value):
    refused(tmp_path, capsys, make(tmp_path, art, option, value))


@pytest.mark.parametrize("words", OPTIONS, ids=[" ".join(w)[:30] for w in OPTIONS])
def test_an_option_that_cannot_be_used(tmp_path, capsys, art, words):
    refused(tmp_path, capsys, make(tmp_path, art, *words))


def test_no_command_of_that_name(tmp_path, capsys):
    assert "make" in refused(tmp_path, capsys, ["maek", "art.svg"])
