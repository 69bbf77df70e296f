"""What a stranger on the network, a page on the web or a broken client can do: nothing."""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx
import pytest

from tests.second_screen import demo
from tests.second_screen.serving import Page, served
from tests.session.made import until
from tether.session.record import Record

PAGES = ("/", "/pair", "/pair/ABCD", "/events", "/alive", "/screen.css", "/screen.js", "/icon.svg")


@pytest.fixture
def session(folder: Path, record: Record) -> Path:
    demo.filled(folder, record)
    return folder


@pytest.fixture
def local(session: Path) -> Iterator[Page]:
    with served(session) as page:
        yield page


@pytest.fixture
def opened(session: Path) -> Iterator[Page]:
    with served(session, host="0.0.0.0") as page:
        yield page


def raw(page: Page, request: bytes, within_s: float = 5.0) -> bytes:
    """What comes back for some bytes."""
    with socket.create_connection(("127.0.0.1", page.port), timeout=within_s) as sent:
        sent.sendall(request)
        answer = b""
        try:
            while more := sent.recv(65536):
                answer += more
        except (TimeoutError, ConnectionResetError):
            pass
        return answer


# Sources of the headers' meaning: CSP Level 3; WHATWG Fetch (nosniff, CORP); RFC 6265bis.
def test_every_answer_carries_the_headers_and_tells_nothing_of_us(opened: Page) -> None:
    with opened.client() as client:
        answers = [client.get(path) for path in PAGES if path != "/events"]
        answers += [client.get(path) for path in ("/nothing", "/pair/../x", "/picture/1-1")]
        answers += [client.post("/pair"), client.put("/"), client.get("/", headers={"host": "x"})]
    for answer in answers:
        told = answer.headers
        policy = told["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert told["x-content-type-options"] == "nosniff"
        # "same-origin" where a form has to tell its origin; see `letting_in`.
        assert told["referrer-policy"] in {"no-referrer", "same-origin"}
        assert told["cache-control"] == "no-store"
        assert told["cross-origin-resource-policy"] == "same-origin"
        assert "server" not in told
        for secret in ("uvicorn", "starlette", "python", "Traceback", "hot folder", "/tmp"):
            assert secret.lower() not in (answer.text + str(told)).lower(), answer.url


def test_the_page_asks_for_nothing_from_elsewhere_and_holds_nothing_inline(local: Page) -> None:
    with local.client() as client:
        texts = [client.get(path).text for path in ("/", "/screen.css", "/screen.js")]
    for text in texts:
        assert "//" not in text.replace("// ", "").replace("http://www.w3.org/2000/svg", "")
        assert "@import" not in text
    assert "style=" not in texts[0]
    assert " on" not in texts[0].replace(" on it", "")
    assert texts[0].count("<script") == texts[0].count('<script src="/screen.js"') == 1


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:80", "", "localhost.evil.example", "127.0.0.1.evil.example",
     "192.168.1.1", "[::1]", "127.0.0.1:1@evil.example"],
)  # fmt: skip
def test_another_name_than_ours_is_refused_on_loopback_too(local: Page, host: str) -> None:
    with local.client() as client:
        assert client.get("/", headers={"host": host}).status_code == 421


def test_our_names_are_not(local: Page) -> None:
    with local.client() as client:
        for host in ("127.0.0.1", f"127.0.0.1:{local.port}", "localhost", "LOCALHOST:9"):
            assert client.get("/", headers={"host": host}).status_code == 200, host


def test_no_host_and_two_are_refused(local: Page) -> None:
    for hosts in (b"", b"Host: 127.0.0.1\r\nHost: evil.example\r\n"):
        answer = raw(local, b"GET / HTTP/1.1\r\n" + hosts + b"Connection: close\r\n\r\n")
        assert answer.split(b" ")[1] in {b"400", b"421"}


def test_what_another_site_asks_for_is_refused(local: Page) -> None:
    """WHATWG Fetch: a page's requests carry `Origin`; Fetch Metadata: `Sec-Fetch-Site`."""
    number = reshoot(local)
    with local.client() as client:
        for origin in ({}, {"origin": "http://evil.example"}, {"origin": "null"},
                       {"origin": f"http://localhost:{local.port}"}):  # fmt: skip
            answer = client.post(f"/reshoots/{number}/on-it", headers=origin)
            assert answer.status_code == 403
        for path in ("/events", "/picture/1-1", "/alive"):
            asked = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"}
            assert client.get(path, headers=asked).status_code == 403
        assert local.state()["reshoots"][0]["on_it"] == ""
        own = {"origin": local.url}
        assert client.post(f"/reshoots/{number}/on-it", headers=own).status_code == 204
    until(lambda: bool(local.state()["reshoots"][0]["on_it"]))


def reshoot(page: Page) -> int:
    return int(page.state()["reshoots"][0]["id"])


@pytest.mark.parametrize(
    "path",
    ["/../tether-record.sqlite", "/picture/../../tether-record.sqlite", "/%2e%2e/%2e%2e/etc/passwd",
     "/picture/..%2f..%2fetc%2fpasswd", "//etc/passwd", "/page/screen.html", "/static/../../x",
     "/picture/%00", "/screen.css/..", "/reshoots/1/on-it/", "/pair/", "/favicon.ico", "/%ff"],
)  # fmt: skip
def test_nothing_else_is_there(local: Page, path: str) -> None:
    answer = raw(
        local,
        f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n".encode(),
    )
    assert answer.split(b" ")[1] in {b"404", b"400"}, answer


def test_only_get_and_post_where_they_are_meant(local: Page) -> None:
    own = {"origin": local.url}
    with local.client() as client:
        for method in ("HEAD", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "BREW"):
            assert client.request(method, "/", headers=own).status_code == 405, method
        for path in ("/", "/events", "/screen.js"):
            assert client.post(path, headers=own).status_code == 405
        assert client.get("/reshoots/1/on-it").status_code == 405
        for number in ("999", "9" * 5000, "-1", "1e3", "%D9%A3", "%00"):
            path = f"/reshoots/{number}/on-it"
            assert client.post(path, headers=own).status_code == 404


def test_requests_have_a_largest_size(opened: Page) -> None:
    own = {"origin": opened.url}
    with opened.client() as client:
        large = client.post("/pair", headers=own, content=b"code=" + b"0" * 2000)
        assert large.status_code == 413
        endless = client.post("/pair", headers=own, content=iter([b"code=", b"0" * 2000]))
        assert endless.status_code == 413
    head = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: "
    assert raw(opened, head + b"y" * 100_000).split(b" ")[1:2] in ([b"400"], [])


def test_bytes_that_are_no_request_get_a_short_refusal(local: Page) -> None:
    for sent in (b"\x16\x03\x01\x02\x00" + bytes(500), b"GET\r\n\r\n", b"\xff" * 300 + b"\r\n\r\n"):
        answer = raw(local, sent)
        assert answer.split(b" ")[1:2] == [b"400"]
        assert len(answer) < 400


def test_beyond_this_computer_nothing_is_shown_without_the_code(opened: Page) -> None:
    with opened.client() as client:
        for path in ("/events", "/alive", "/picture/9-9"):
            assert client.get(path).status_code == 403
        asked = client.post("/reshoots/1/on-it", headers={"origin": opened.url})
        assert asked.status_code == 403
        page = client.get("/")
        assert page.status_code == 403
        assert "maker" not in page.text
        for cookie in ("", "x", "0" * 64 + "." + "0" * 64):
            forged = {"cookie": f"tether-{opened.port}={cookie}"}
            assert client.get("/events", headers=forged).status_code == 403


def test_opening_the_link_does_not_use_the_code_up_and_pairing_does(opened: Page) -> None:
    code = opened.invitation.code
    with opened.client() as preview:
        for _ in range(3):
            shown = preview.get(f"/pair/{code}")
            assert shown.status_code == 200
            assert "set-cookie" not in shown.headers
            assert preview.get("/alive").status_code == 403
    with opened.paired() as tablet:
        assert tablet.get("/alive").status_code == 204
        with opened.client(headers={"origin": opened.url}) as late:
            assert late.post("/pair", data={"code": code}).status_code == 403
            assert late.get("/alive").status_code == 403
        assert tablet.get(f"/pair/{code}").status_code == 303


def test_the_cookie_is_out_of_reach(opened: Page) -> None:
    with opened.client(headers={"origin": opened.url}) as client:
        answer = client.post("/pair", data={"code": opened.invitation.code})
    told = answer.headers["set-cookie"].lower()
    assert "httponly" in told
    assert "samesite=strict" in told
    assert "domain" not in told
    value = told.partition("=")[2].partition(".")[0]
    assert len(bytes.fromhex(value)) * 8 == 256


def test_what_is_typed_as_a_code_comes_back_harmless(opened: Page) -> None:
    with opened.client() as client:
        text = client.get('/pair/"><script>alert(1)</script>').text
    assert "<script>alert" not in text


def test_no_picture_leaves_this_computer_unless_it_may(session: Path) -> None:
    for allowed in (False, True):
        with served(session, host="0.0.0.0", picture=allowed) as page, page.paired() as client:
            name = page.state(client)["frame"]["picture"]
            assert bool(name) is allowed
            shown = client.get(f"/picture/{name or '9-9'}")
            assert shown.status_code == (200 if allowed else 404)
            if allowed:
                assert shown.headers["content-type"] == "image/jpeg"
                assert client.get("/picture/1-1").status_code == 404


def test_on_this_computer_it_is_shown(local: Page) -> None:
    name = local.state()["frame"]["picture"]
    with local.client() as client:
        assert client.get(f"/picture/{name}").content.startswith(b"\xff\xd8")


def test_guessing_at_a_thousand_a_second_keeps_nobody_out_and_slows_nobody(opened: Page) -> None:
    end = time.monotonic() + 4.0
    counts: list[int] = []

    def guess(nth: int) -> None:
        done = 0
        with httpx.Client(base_url=opened.url, timeout=5.0) as client:
            while time.monotonic() < end:
                try:
                    said = {"code": f"{nth:06}{done:06}"}
                    client.post("/pair", data=said, headers={"origin": opened.url})
                except httpx.TransportError:
                    time.sleep(0.01)
                done += 1
        counts.append(done)

    with opened.paired() as tablet, ThreadPoolExecutor(24) as guessers:
        again = opened.invitation.code
        for nth in range(24):
            guessers.submit(guess, nth)
        time.sleep(1.5)
        assert tablet.get("/alive").status_code == 204
        assert opened.state(tablet)["setups"]
    # Each waited for its answer; the code is still good, and not only for those who guess.
    assert sum(counts) < 24 * 6
    assert opened.invitation.code == again
    with opened.client(headers={"origin": opened.url}) as late:
        deadline = time.monotonic() + 10
        while late.post("/pair", data={"code": again}).status_code != 303:
            assert time.monotonic() < deadline
