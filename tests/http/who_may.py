#!/usr/bin/env python3
"""A book that is shared: who comes in with a code, who does not, and what each may do. Asked from an address of this
machine that is not loopback, which counts as a stranger's.

usage: who_may.py RUNDOWN
"""
import re
import sys
import time

from served import Served, Tests, own_address, routes, same


def filled(pattern):
    return pattern.replace("{}", "1")


def codes_of(served):
    """From what the terminal shows."""
    lines = []
    while len(lines) < 30 and not any("Ctrl-C" in line for line in lines):
        lines += served.more_lines(1)
    words = "\n".join(lines)
    assert f"http://{served.at}:{served.port}/" in words, words
    reader = re.search(r"code to read: +([2-9A-Z]{8})$", words, re.M)[1]
    operator = re.search(r"code to operate: +([2-9A-Z]{8})$", words, re.M)[1]
    return reader, operator


def pair(served, code):
    return served.ask("POST", "/api/pair", f'{{"code": "{code}"}}'.encode(), host=served.at)


def session(served, code):
    reply = pair(served, code)
    same(reply.status, 200, f"pairing: {reply.body}")
    cookie = reply.header("Set-Cookie")
    assert "HttpOnly" in cookie and "SameSite=Strict" in cookie and "Path=/" in cookie, cookie
    return cookie.split(";")[0]


def ask(served, method, path, cookie=None, body=b""):
    return served.ask(method, path, body, headers={"Cookie": cookie} if cookie else {}, host=served.at)


def test_a_stranger_sees_the_pages_and_nothing_of_the_book(served):
    for method, pattern, role in routes():
        reply = ask(served, method, filled(pattern))
        if role == "ANYONE" and method == "GET":
            assert reply.status in (200, 404), f"{pattern}: {reply.status}"
        elif role != "ANYONE":
            same(reply.status, 401, f"{method} {pattern}")
            assert b"Hut pack" not in reply.body, pattern


def test_forged_cookies_open_nothing(served):
    good = session(served, served.codes[0])
    name, token = good.split("=", 1)
    same(ask(served, "GET", "/api/book", good).status, 200)
    for forged in ("", "A" * 43, token[:-1], token + "A", token[:-1] + ("A" if token[-1] != "A" else "B"), token.lower(),
                   "%00" * 43, "../" + token, "A" * 20000, token[::-1]):
        same(ask(served, "GET", "/api/book", f"{name}={forged}").status in (401, 431), True, forged[:50])
    same(ask(served, "GET", "/api/book", f"other={token}").status, 401)
    same(ask(served, "GET", "/api/book", f"other=1; {good}").status, 200)


def test_a_reader_changes_nothing(served):
    cookie = session(served, served.codes[0])
    same(ask(served, "GET", "/api/book", cookie).json()["role"], "reader")
    same(ask(served, "GET", "/api/samples", cookie).json()["samples"][0]["name"], "Hut pack 3")
    for method, pattern, role in routes():
        if role == "OPERATOR":
            same(ask(served, method, filled(pattern), cookie).status, 403, f"{method} {pattern}")
        # Whatever changes something is the operator's, but to come in, to leave, and to have a text looked at.
        assert method == "GET" or role == "OPERATOR" or pattern in ("/api/pair", "/api/check/{}"), f"{method} {pattern}"


def test_an_operator_may_and_can_end_a_session(served):
    operator, reader = session(served, served.codes[1]), session(served, served.codes[0])
    same(ask(served, "GET", "/api/book", operator).json()["role"], "operator")
    shown = ask(served, "GET", "/api/share", operator).json()
    same((shown["reader"]["code"], shown["operator"]["code"]), served.codes)
    same(shown["reader"]["link"], f"http://{served.at}:{served.port}/pair#{served.codes[0]}")
    assert shown["reader"]["qr"].startswith("<svg ")
    sessions = ask(served, "GET", "/api/sessions", operator).json()["sessions"]
    newest = min((one for one in sessions if one["role"] == "reader"), key=lambda one: one["unused_s"])
    same(newest["from"], served.at)
    same(ask(served, "DELETE", f"/api/sessions/{newest['name']}", operator).status, 204)
    same(ask(served, "GET", "/api/book", reader).status, 401)
    left = ask(served, "DELETE", "/api/pair", operator)
    same(left.status, 204)
    assert "Max-Age=0" in left.header("Set-Cookie")
    same(ask(served, "GET", "/api/book", operator).status, 401)


def test_a_stream_ends_with_its_session(served):
    cookie = session(served, served.codes[0])
    with served.connect(served.at) as line:
        line.sendall(f"GET /api/events HTTP/1.1\r\nHost: {served.at}:{served.port}\r\nCookie: {cookie}\r\n\r\n".encode())
        heard = b""
        while b"\nid: " not in heard:
            heard += line.recv(4096)
        same(ask(served, "DELETE", "/api/pair", cookie).status, 204)
        served.ask("POST", "/api/samples", b'{"name": "After the session"}')
        while not heard.endswith(b"\r\n0\r\n\r\n"):  # the last chunk of none
            heard += line.recv(4096)
    assert b"event: book" not in heard, heard


def test_new_codes_make_the_old_ones_worthless(served):
    old = served.codes
    fresh = served.ask("POST", "/api/share/codes").json()  # as who sits at the machine
    served.codes = (fresh["reader"]["code"], fresh["operator"]["code"])
    assert not set(old) & set(served.codes)
    same(pair(served, old[1]).status, 403)
    session(served, served.codes[1])


def test_no_name_but_its_own(served):
    for host in ("rebound.example", "127.0.0.2"):
        same(served.ask("GET", "/", headers={"Host": host}, host=served.at).status, 403, host)
    same(ask(served, "GET", "/").status, 200)


def test_guesses_are_slowed_and_then_refused(served):
    began = time.monotonic()
    for guess in range(4):
        same(pair(served, f"2345678{'ABCD'[guess]}").status, 403)
    assert time.monotonic() - began > 2, "guesses cost time"


def main():
    address = own_address()
    if address is None:
        print("this machine has no address but loopback")
        return 77
    served = Served(sys.argv[1], "--share")
    served.at = address
    served.codes = codes_of(served)
    passed, failed, skipped = Tests(globals()).run(served)
    status, words = served.end()
    if status != 0 or words:
        failed += 1
        print(f"FAILED  the server ended with status {status}: {words}")
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return failed > 0


if __name__ == "__main__":
    sys.exit(main())
