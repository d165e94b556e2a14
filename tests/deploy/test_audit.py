"""Known advisories fail the audit, and what could not be looked up is not "all is well"."""

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Thread

import pytest

from deploy import audit

_ADVISORY = {
    "id": "EX-2027-1",
    "summary": "It lets strangers in.",
    "details": "",
    "modified": "2027-01-01T00:00:00Z",
    "affected": [
        {
            "package": {"name": "old-paper", "ecosystem": "PyPI"},
            "ranges": [{"type": "ECOSYSTEM", "events": [{"introduced": "0"}, {"fixed": "1.5"}]}],
            "versions": ["1.4"],
        }
    ],
}


@contextmanager
def _advisories(known: Mapping[str, object], status: int = 200) -> Iterator[str]:
    """A server of the OSV format that knows these packages' advisories."""

    class Asked(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            asked = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
            found = known.get(asked["package"]["name"])
            self.send_response(status)
            self.end_headers()
            self.wfile.write(json.dumps({"vulns": [found]} if found else {}).encode())

        def log_message(self, *_: object) -> None:
            """Says nothing."""

    server = HTTPServer(("127.0.0.1", 0), Asked)
    thread = Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/v1/query"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


@pytest.fixture
def pins(tmp_path: Path) -> str:
    path = tmp_path / "pins.txt"
    digest = "0" * 64
    path.write_text(f"old-paper==1.4 --hash=sha256:{digest}\nribbon==2.0 --hash=sha256:{digest}\n")
    return str(path)


def test_a_known_advisory_fails_and_says_what_mends_it(
    pins: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with _advisories({"old-paper": _ADVISORY}) as url:
        assert audit.main([pins, "--osv-url", url]) == audit.Outcome.ADVISORY
    told = capsys.readouterr().out
    assert "old-paper 1.4: EX-2027-1, mended in 1.5" in told
    assert "ribbon" not in told


def test_none_known_of_any_is_fine(capsys: pytest.CaptureFixture[str]) -> None:
    found = [audit.Audited(pin="ribbon 2.0"), audit.Audited(pin="old-paper 1.5")]
    assert audit.report(found) == audit.Outcome.FINE
    assert "2 packages were looked up" in capsys.readouterr().out


def test_a_server_that_does_not_answer_is_no_answer(
    pins: str, capsys: pytest.CaptureFixture[str]
) -> None:
    nowhere = "http://127.0.0.1:9/v1/query"
    assert audit.main([pins, "--osv-url", nowhere]) == audit.Outcome.UNKNOWN
    assert "That is no answer" in capsys.readouterr().out


def test_packages_that_are_not_known_there_are_no_answer(
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = [
        audit.Audited(pin="ribbon 2.0"),
        audit.Audited(pin="old-paper 1.4", unknown="Dependency not found"),
    ]
    assert audit.report(found) == audit.Outcome.UNKNOWN
    told = capsys.readouterr().out
    assert "1 of 2 packages could not be looked up" in told
    assert "old-paper 1.4: Dependency not found" in told
    assert "That is no answer" in told


def test_an_advisory_counts_also_where_others_are_unknown() -> None:
    found = [
        audit.Audited(pin="ribbon 2.0", unknown="Dependency not found"),
        audit.Audited(pin="old-paper 1.4", advisories=("EX-2027-1, mended in 1.5",)),
    ]
    assert audit.report(found) == audit.Outcome.ADVISORY


def test_the_checkouts_own_pins_are_what_is_asked_about() -> None:
    assert all(path.exists() for path in audit.PINS)
