"""`filigree mend`: files, the list, and lists that no longer fit."""

import pytest

from filigree.cli import main

ART = (  # two square openings 2 mm apart
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
    '<g fill="none" stroke="#000" stroke-width="0.4"><rect x="2" y="2" width="96" height="56"/>'
    '<rect class="open" x="20" y="20" width="29" height="20"/>'
    '<rect class="open" x="51" y="20" width="29" height="20"/></g></svg>'
)
UNFIT = [
    pytest.param('how = "widen"\nat = [5.0, 5.0]\nwidth = 3.6', "widen at 5, 5", id="no strand"),
    pytest.param(
        'how = "round"\nat = [90.0, 50.0]\nwidth = 1.0', "round at 90, 50", id="no corner"
    ),
    pytest.param(
        'how = "strengthen"\nat = [9.0, 9.0]\nwidth = 3.0', "strengthen at 9", id="no way"
    ),
    pytest.param('how = "sew"\nat = [50.0, 30.0]', "sew at 50, 30", id="no such means"),
]


@pytest.fixture
def art(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "fields.svg"
    path.write_text(ART, encoding="utf-8")
    return path


@pytest.mark.parametrize(("entry", "named"), UNFIT)
def test_a_list_that_no_longer_fits_writes_nothing(entry, named, art, capsys):
    (art.parent / "old.toml").write_text(f"[[mend]]\n{entry}\n", encoding="utf-8")
    assert main(["make", str(art), "--job", "old.toml", "-o", "out"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 1
    assert named in err
    assert {p.name for p in art.parent.iterdir()} == {"fields.svg", "old.toml"}


def test_mend_refuses_a_dropped_entry_that_fits_nothing(art, capsys):
    entry = '[[mend]]\nhow = "widen"\nat = [5.0, 5.0]\nas_drawn = true\n'
    (art.parent / "old.toml").write_text(entry, encoding="utf-8")
    assert main(["mend", str(art), "--job", "old.toml", "-o", "out"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert not (art.parent / "out").exists()


def test_the_written_job_gives_the_same_files_again(art):
    assert main(["mend", str(art), "--face", "5-6 oz", "-o", "one"]) == 0
    assert main(["make", str(art), "--job", "one/job.toml", "-o", "two"]) == 0
    for name in ("face.svg", "plies.svg", "job.toml", "mend.svg"):
        assert (art.parent / "one" / name).read_bytes() == (art.parent / "two" / name).read_bytes()
