"""What a day at the bench brings: quick hands, a full disk, a page loaded anew in mid-work, files far too large."""

import json
import os
import resource
import signal

import pytest

from filigree.job.files import job_from
from tests.page.test_browser import checked, click_field, opened, said
from tests.page.test_command import send, started, state

__all__ = ["started"]


def test_every_one_of_many_quick_clicks_is_heard(served, tab, art):
    on = served(art)
    page = tab(on.address)
    first = opened(on)
    page.evaluate(
        """(ids) => { for (const id of ids)
          document.querySelector(`[data-field="${id}"]`).dispatchEvent(new MouseEvent("click", { bubbles: true })); }""",
        first[:3] * 7 + first[:1],
    )
    checked(page, first[1], "false")
    page.wait_for_selector(".field.waiting", state="detached")
    checked(page, first[2], "false")
    assert opened(on) == [
        first[0],
        *first[3:],
    ]  # the first was clicked eight times, the others seven
    assert page.locator("[data-field][aria-checked=true]").count() == len(opened(on))
    assert len(on.desk.history) < 6  # they went together


def test_a_full_disk_is_told_and_nothing_is_lost(started, art, tmp_path):
    process, address, _ = started()
    told = state(address)
    field = next(f["id"] for f in told["fields"] if f["open"])
    kept = tmp_path / "eight-page" / "job.toml"
    before = kept.read_bytes()
    pick = {"turn": told["turn"], "fields": [field], "kind": "keep"}
    resource.prlimit(process.pid, resource.RLIMIT_FSIZE, (16, resource.RLIM_INFINITY))
    answer = refused(address, "pick", pick)
    assert (answer["turn"], answer["fields"]) == (told["turn"], told["fields"])
    assert "The disk does not answer (File too large)" in answer["wrong"]
    assert kept.read_bytes() == before
    assert sorted(p.name for p in kept.parent.iterdir()) == [".filigree", "drawing.txt", "job.toml"]
    wrong = refused(address, "save", {"turn": told["turn"]})["wrong"]
    assert "(file too large); see to room on the disk" in wrong
    assert "-o" not in wrong.split()
    assert not (tmp_path / "eight-cut").exists()
    resource.prlimit(process.pid, resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY,) * 2)
    assert send(address, "pick", pick)["turn"] == told["turn"] + 1
    assert kept.read_bytes() != before


def refused(address, name, value):
    """Send what is refused; gives the answer."""
    import urllib.error

    with pytest.raises(urllib.error.HTTPError) as error:
        send(address, name, value)
    with error.value as answer:
        return json.loads(answer.read())


def test_a_page_loaded_anew_in_the_middle_of_work_tells_of_it(served, tab, art, monkeypatch):
    on = served(art)
    page = tab(on.address)
    on.desk.step = "mending"
    page.reload()
    page.wait_for_selector("#busy:not([hidden]):has-text('Working: mending')")
    on.desk.change(on.desk.turn, lambda job, on: _kept(job, on))
    on.desk.step = ""
    page.wait_for_selector("#busy", state="hidden")
    checked(page, 2, "false")
    assert not page.is_disabled("#undo")


def _kept(job, on):
    from filigree.page import edits

    return edits.picked(job, on.piece.regions, [2], "keep")


def test_a_file_far_too_large_is_told_as_that(served, tab, art, tmp_path):
    on = served(art)
    on.desk.fallback = job_from("[reading]\nfile_mb = 0.1", where="test")
    page = tab(on.address)
    large = tmp_path / "large.svg"
    large.write_bytes(b"<svg>" + b" " * 20_000_000)
    page.set_input_files("#file", large)
    assert "larger than 0.1 MB" in said(page)
    assert on.desk.piece.art == art
    click_field(page, opened(on)[0])
    checked(page, opened(on)[0] if len(opened(on)) == 8 else 2, "false")


def test_a_server_killed_in_the_middle_of_a_change_is_told(started, tab, art):
    process, address, _ = started()
    page = tab(address)
    os.kill(process.pid, signal.SIGSTOP)  # the change is sent, no answer comes
    page.locator("[data-field='2']").dispatch_event("click")
    page.wait_for_timeout(100)
    os.kill(process.pid, signal.SIGKILL)
    assert "Your work is kept; start filigree page again" in said(page)
