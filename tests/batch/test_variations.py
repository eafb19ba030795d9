"""The table of variations: what is taken, and that nothing is dropped in silence."""

import pytest

from filigree.batch import batch
from filigree.batch.variations import variations_of
from filigree.errors import FiligreeError
from filigree.job import Job, with_overrides


def table(tmp_path, text):
    path = tmp_path / "names.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


REFUSED = [  # text, what the line must say
    ("", ['line 1: no column "name"']),
    ("face.thickness\n2 oz\n", ['line 1: no column "name"']),
    ("name\n", ["no row"]),
    ("name\na\n\na\n", ["line 4", "'a' is in line 2 already"]),
    ("name\nA\na\n", ["line 3", "'a' is in line 2 already"]),
    ("name\n../x\n", ["line 2", "'.' '/'"]),
    ("name\nM\u00fcller & S\u00f8n\n", ["line 2", "has '&' in it"]),
    ("name,sheet.width\n,5\n", ["line 2", "the name is empty"]),
    ("name\n" + "a" * 101, ["line 2", "longer than 100"]),
    ("name,sheet.width\na,12,5\n", ["line 2", "3 cells under 2 columns", "12.5"]),
    ("name,sheet.width\na,12\nb\n", ["line 3", "1 cell under 2 columns"]),
    ('name,sheet.width\na,"12,5"\n', ["line 2", "sheet.width '12,5' is no number", "12.5"]),
    ("name,\na,5\n", ["line 2", "'5' stands in column 2"]),
    ("name,sheet.width,sheet.width\na,5,6\n", ["line 1", "'sheet.width' is there twice"]),
    ("name,mend.x\na,1\n", ["line 1", "'mend' is no table", "'mend.x'"]),
    ("name,face.thickness.x\na,1\n", ["line 1", "'face.thickness' is no table"]),
    ("name,face.thicknes\na,2 oz\n", ["line 1", "did you mean 'thickness'"]),
    ("name,face\na,2 oz\n", ["line 2", "[face]"]),
    ("name,face.thickness\na,soft\n", ["line 2", "soft"]),
    ("name,inlay.colour\na,red\nb,bluu\n", ["line 3, [inlay] colour: 'bluu' is no colour"]),
    ('name\na\n"b\n', ["line 3", "quotation marks"]),
    ("name\na\nM\u00fcller\n".encode("latin-1"), ["line 3", "not UTF-8", "CSV UTF-8"]),
]


@pytest.mark.parametrize(("text", "says"), REFUSED)
def test_what_cannot_be_used_is_refused_with_file_and_line(drawings, tmp_path, text, says):
    with pytest.raises(FiligreeError) as told:
        batch(drawings, tmp_path / "cut", vary=table(tmp_path, text))
    line = str(told.value)
    assert line.startswith("names.csv")
    for words in says:
        assert words in line
    assert not (tmp_path / "cut").exists()


def test_a_table_that_is_not_there_is_told_plainly(tmp_path):
    with pytest.raises(FiligreeError, match="cannot be read \\(no such file or directory\\)"):
        variations_of(tmp_path / "names.csv")


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_cells_are_parted_by_commas_semicolons_or_tabs(tmp_path, mark):
    rows = [("name", "face.thickness", "use.pull"), ("ana", "", "45"), ("bo", "3-4 oz", "x")]
    text = "\ufeff" + "\r\n".join(mark.join(row) for row in rows)
    ana, bo = variations_of(table(tmp_path, text))
    assert (ana.label, ana.values) == ("ana", {"use.pull": "45"})
    assert (bo.label, bo.values) == ("bo", {"face.thickness": "3-4 oz", "use.pull": "x"})


def test_12_5_is_twelve_and_a_half_where_semicolons_part_the_cells(tmp_path):
    [row] = variations_of(table(tmp_path, "name;sheet.width;inlay.leather\na;12,5;3,4\n"))
    assert row.values == {"sheet.width": 12.5, "inlay.leather": "3,4"}


def test_values_are_what_their_keys_take(tmp_path):
    text = "name,use.pull,use.carries,sheet.width,choose.spread,inlay.leather\na,45,true,80,2,12\n"
    [row] = variations_of(table(tmp_path, text))
    job = with_overrides(Job(), row.values)
    assert (job.use.pull, job.use.carries, job.sheet.width) == ("45", True, 80.0)
    assert (job.choose.spread, job.inlay.leather) == (2, "12")


@pytest.mark.parametrize(
    "name",
    ["M\u00fcller", "Mu\u0308ller", "\u7dda", "\u0939\u093f\u0928\u094d\u0926\u0940", "Ana Ros"],
)
def test_letters_of_any_script_name_a_folder(tmp_path, name):
    [row] = variations_of(table(tmp_path, f"name\n{name}\n"))
    assert row.label in {name, "M\u00fcller"}


def test_a_key_of_what_is_no_table_is_told_when_a_job_is_changed():
    job = with_overrides(Job(), {"face.thickness": "3-4 oz"})
    with pytest.raises(FiligreeError, match="'thickness' is no table"):
        with_overrides(job, {"face.thickness.x": 1})
