"""Who may ask: a wrong host, token or origin is refused, and no file of the disk can be read."""

import http.client
import json

import pytest

from filigree.job.files import job_from
from filigree.page.guard import POLICY
from filigree.page.server import FILES, LARGEST
from tests.page.conftest import TOKEN

SECRET = "withyhollow-ledger"
OUTSIDE = [
    "../secret.txt",
    "..%2fsecret.txt",
    "%2e%2e/secret.txt",
    "..%5csecret.txt",
    "static/../../secret.txt",
    "%2fetc%2fpasswd",
    "/etc/passwd",
    "index.html%00",
    "app.js/../server.py",
    "server.py",
    "../server.py",
    "job.toml",
    "eight.svg",
    "drawing?name=../secret.txt",
]


def ask(served, path, *, method="GET", body=None, **headers):
    """Send one request as it stands; a browser would tidy path and headers up."""
    line = http.client.HTTPConnection(*served.host.split(":"), timeout=20)
    line.putrequest(method, path, skip_host=True)
    for name, value in {"host": served.host, **headers}.items():
        if value is not None:
            line.putheader(name.replace("_", "-"), value)
    if body is not None:
        line.putheader("content-length", str(len(body)))
    line.endheaders(body)
    answer = line.getresponse()
    data = answer.read()
    line.close()
    return answer, data


def test_a_wrong_host_is_refused(served, art):
    page = served(art)
    for host in ("withyhollow.example", "localhost:1", "127.0.0.1", page.host + ".", "", None):
        answer, data = ask(page, f"/{TOKEN}/state", host=host)
        assert answer.status in ({400, 403} if host is None else {403}), host
        assert answer.status == 400 or b"own address" in data


def test_a_wrong_or_stale_token_is_refused(served, art):
    page = served(art)
    for token in ("", "a-token", TOKEN + "x", TOKEN.upper(), "%00", "%C3%A9"):
        answer, data = ask(page, f"/{token}/state")
        assert answer.status == 403, token
        assert b"another run" in data


@pytest.mark.parametrize(
    "origin", [None, "null", "http://withyhollow.example", "https://127.0.0.1"]
)
def test_a_change_from_another_page_is_refused(served, art, origin):
    page = served(art)
    body = json.dumps({"turn": 1, "settings": {"cut.way": "laser"}}).encode()
    answer, _ = ask(page, f"/{TOKEN}/settings", method="POST", body=body, origin=origin)
    assert answer.status == 403
    assert page.desk.look.job.cut.way == "knife"
    answer, _ = ask(
        page, f"/{TOKEN}/settings", method="POST", body=body, origin=f"http://{page.host}"
    )
    assert answer.status == 200
    assert page.desk.look.job.cut.way == "laser"


def test_another_page_cannot_read(served, art):
    page = served(art)
    for headers in ({"origin": "http://withyhollow.example"}, {"sec_fetch_site": "cross-site"}):
        assert ask(page, f"/{TOKEN}/state", **headers)[0].status == 403


def test_no_file_of_the_disk_can_be_read(served, art):
    (art.parent / "secret.txt").write_text(SECRET, encoding="utf-8")
    page = served(art)
    for path in OUTSIDE:
        answer, data = ask(page, f"/{TOKEN}/{path}")
        assert answer.status in {400, 403, 404, 405}, path
        assert SECRET.encode() not in data
        assert b"root:" not in data


def test_what_is_served_is_its_own_and_under_a_strict_policy(served, art):
    page = served(art)
    for name, kind in FILES.items():
        path = "" if name == "index.html" else name
        answer, data = ask(page, f"/{TOKEN}/{path}")
        assert (answer.status, answer.headers["content-type"]) == (200, kind)
        assert answer.headers["content-security-policy"] == POLICY
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert b"https://" not in data
        assert b"http://" not in data.replace(b"http://www.w3.org/2000/svg", b"")


def test_a_drawing_that_is_too_large_is_refused(served, art):
    page = served(art)
    page.desk.fallback = job_from("[reading]\nfile_mb = 0.001", where="test")
    answer, data = ask(
        page,
        f"/{TOKEN}/drawing?turn=1&name=big.svg",
        method="POST",
        body=b" " * 1001,
        origin=f"http://{page.host}",
    )
    assert answer.status == 413
    assert b"larger than 0.001 MB" in data
    assert page.desk.piece.art == art


def test_a_change_that_is_too_large_is_refused_in_words(served, art):
    page = served(art)
    answer, data = ask(
        page,
        f"/{TOKEN}/colour",
        method="POST",
        body=b" " * (LARGEST + 1),
        origin=f"http://{page.host}",
    )
    assert answer.status == 413
    told = json.loads(data)
    assert "larger than 1 MB" in told["wrong"]
    assert told["turn"] == page.desk.turn
