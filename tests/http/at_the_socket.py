#!/usr/bin/env python3
"""Who may ask what, and what comes of it: the program as it serves a book, asked in plain bytes.

usage: at_the_socket.py RUNDOWN
"""
import gzip
import socket
import subprocess
import sys
import time

from served import Reply, Served, Tests, hear, routes, same


def filled(pattern):
    return pattern.replace("{}", "1")


def fault(reply):
    return reply.json()["fault"]["what"]


def test_every_page_and_file_is_there_and_strict(served):
    for method, pattern, role in routes():
        if role != "ANYONE" or method != "GET" or pattern.startswith("/ui/{}"):
            continue
        reply = served.ask("GET", filled(pattern))
        same(reply.status, 404 if pattern == "/{}" else 200, pattern)  # a page that says there is none
        policy = reply.header("Content-Security-Policy")
        for word in ("default-src 'none'", "script-src 'self'", "frame-ancestors 'self'", "base-uri 'none'"):
            assert word in policy, f"{pattern}: {word} is not in {policy}"
        assert "unsafe" not in policy and "http:" not in policy and "*" not in policy, policy
        same(reply.header("X-Content-Type-Options"), "nosniff", pattern)
        same(reply.header("Referrer-Policy"), "no-referrer", pattern)
    page = served.ask("GET", "/")
    assert b"<title>" in gzip.decompress(page.body)


def test_head_is_get_without_a_body(served):
    for path in ("/", "/ui/core/start.js", "/api/book", "/api/samples", "/nowhere"):
        got = served.ask("GET", path, headers={"Connection": "close"})
        with served.connect() as line:
            line.sendall(f"HEAD {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n".encode())
            heard = b""
            while piece := line.recv(65536):
                heard += piece
        head = Reply(heard)
        same(head.status, got.status, path)
        same(head.header("Content-Length"), str(len(got.body)), path)
        same(head.body, b"", path)


def test_a_method_that_is_not_taken_is_told_which_are(served):
    methods = {}
    for method, pattern, _ in routes():
        methods.setdefault(pattern, set()).add(method)
    for pattern, taken in methods.items():
        if pattern.startswith("/ui/{}"):
            continue
        for method in ("GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT", "get", "BREW"):
            if method in taken:
                continue
            reply = served.ask(method, filled(pattern))
            if method == "CONNECT" and reply.status == 0:
                continue  # may be dropped: it asks for a tunnel
            same(reply.status, 405, f"{method} {pattern}")
            allow = set(reply.header("Allow").split(", "))
            assert taken <= allow and allow <= taken | {"HEAD"} | methods_beside(pattern, methods), f"{pattern}: {allow}"
            assert not reply.header("Access-Control-Allow-Origin"), "no other origin is let in"


def methods_beside(pattern, methods):
    """What other patterns take that match the same address."""
    own = filled(pattern).split("/")
    beside = set()
    for other, taken in methods.items():
        parts = other.split("/")
        if len(parts) == len(own) and all(p in ("{}", o) for p, o in zip(parts, own)):
            beside |= taken
    return beside


def test_what_a_browser_has_is_not_sent_again(served):
    for path in ("/", "/ui/core/start.js", "/ui/style/figures.css"):
        first = served.ask("GET", path)
        tag = first.header("ETag")
        assert tag.startswith('"') and len(tag) > 4, tag
        again = served.ask("GET", path, headers={"If-None-Match": f'"other", W/{tag}'})
        same((again.status, again.body, again.header("ETag")), (304, b"", tag), path)
        assert "default-src 'none'" in again.header("Content-Security-Policy")
        same(served.ask("GET", path, headers={"If-None-Match": '"other"'}).status, 200, path)
        assert "no-cache" in first.header("Cache-Control"), "another program's pages are taken at once"
    same(served.ask("GET", "/api/book").header("Cache-Control"), "no-store")


def test_a_stretch_of_a_reply(served):
    whole = served.ask("GET", "/ui/core/start.js")
    size = len(whole.body)
    part = served.ask("GET", "/ui/core/start.js", headers={"Range": "bytes=2-11"})
    same((part.status, part.body), (206, whole.body[2:12]))
    same(part.header("Content-Range"), f"bytes 2-11/{size}")
    same(served.ask("GET", "/ui/core/start.js", headers={"Range": "bytes=-4"}).body, whole.body[-4:])
    past = served.ask("GET", "/ui/core/start.js", headers={"Range": f"bytes={size}-"})
    same((past.status, past.header("Content-Range")), (416, f"bytes */{size}"))
    tagged = {"Range": "bytes=0-3", "If-Range": whole.header("ETag")}
    same(served.ask("GET", "/ui/core/start.js", headers=tagged).status, 206)
    tagged["If-Range"] = '"other"'
    same(served.ask("GET", "/ui/core/start.js", headers=tagged).body, whole.body)
    same(served.ask("GET", "/ui/core/start.js", headers={"Range": "bytes=5-2"}).status, 200)


def test_long_json_is_pressed_for_those_who_take_it(served):
    plain = served.ask("GET", "/api/samples/1/assessment")
    same(plain.header("Content-Encoding"), "")
    assert len(plain.body) > 1400
    pressed = served.ask("GET", "/api/samples/1/assessment", headers={"Accept-Encoding": "gzip, deflate"})
    same(pressed.header("Content-Encoding"), "gzip")
    same(gzip.decompress(pressed.body), plain.body)
    refused = served.ask("GET", "/api/samples/1/assessment", headers={"Accept-Encoding": "gzip;q=0"})
    same(refused.header("Content-Encoding"), "")


def test_too_much_is_refused(served):
    large = b"x" * (64 << 20)
    for method, pattern, _ in routes():
        path = filled(pattern)
        if method == "GET":
            same(served.ask("GET", path, b"{}").status, 413, path)
            continue
        head = {"Content-Length": "999999999999"}
        same(served.ask(method, path, headers=head).status, 413, f"{method} {path}")
    same(served.ask("POST", "/api/pair", b"x" * 257).status, 413)
    for length in ("-1", "1e3", "99999999999999999999999", "0x10", "1, 2"):
        reply = served.ask("POST", "/api/pair", headers={"Content-Length": length})
        assert reply.status in (0, 400, 413), f"Content-Length {length}: {reply.status}"
    chunked = (f"POST /api/pair HTTP/1.1\r\nHost: localhost:{served.port}\r\nOrigin: http://localhost:{served.port}\r\n"
               "Transfer-Encoding: chunked\r\n\r\n").encode()
    same(served.send(chunked + b"400\r\n" + b"y" * 1024 + b"\r\n0\r\n\r\n").status, 413)
    endless = served.send(chunked + b"%x\r\n" % len(large) + large)
    assert endless.status in (0, 413), endless.status
    same(served.ask("GET", "/api/book").status, 200)


def test_what_is_no_request_is_refused(served):
    host = b"Host: localhost\r\n"
    for raw in (
        b"\r\n\r\n\r\n", b"GET\r\n\r\n", b"GET /\r\n\r\n", b"/ HTTP/1.1\r\n" + host + b"\r\n",
        b"GET / HTTP/9.9\r\n" + host + b"\r\n", b"GET / HTTQ/1.1\r\n" + host + b"\r\n", b"\x16\x03\x01\x02\x00\x01\x00\x01",
        b"GET / HTTP/1.1\r\n\r\n", b"GET / HTTP/1.1\r\n" + host + host + b"\r\n", b"GET / HTTP/1.0\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost:\r\n\r\n", b"GET / HTTP/1.1\r\n" + host + b"No colon here\r\n\r\n",
        b"GET http://localhost/ HTTP/1.1\r\n" + host + b"\r\n", b"GET * HTTP/1.1\r\n" + host + b"\r\n",
        b"GET / HTTP/1.1\r\n" + host + b"X: " + b"a" * 100000 + b"\r\n\r\n",
        b"GET /" + b"a" * 100000 + b" HTTP/1.1\r\n" + host + b"\r\n",
        b"GET / HTTP/1.1\r\n" + host + b"".join(b"X%d: y\r\n" % k for k in range(5000)) + b"\r\n",
        b"POST /api/pair HTTP/1.1\r\n" + host + b"Transfer-Encoding: nonsense\r\n\r\n",
        b"POST /api/pair HTTP/1.1\r\n" + host + b"Origin: http://localhost\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
        b"\x00" * 64 + b"\r\n\r\n", bytes(range(256)) * 4 + b"\r\n\r\n",
    ):
        with served.connect(timeout=2) as line:
            try:
                line.sendall(raw)
                line.shutdown(socket.SHUT_WR)
            except OSError:
                pass  # dropped before it had all
            reply = hear(line)
        assert reply.status == 0 or 400 <= reply.status < 600, f"{raw[:60]!r}: {reply.status}"
    same(served.ask("GET", "/api/book").status, 200)


def test_no_address_leads_out(served):
    for path in (
        "/../../etc/passwd", "/ui/../../etc/passwd", "/ui/%2e%2e/%2e%2e/etc/passwd", "/ui/..%2f..%2fetc/passwd",
        "/ui/core/%2e%2e%2fstart.js", "/ui/%252e%252e/x", "/ui/core/..", "/ui//etc/passwd", "//etc/passwd", "/ui/core/\\..\\x",
        "/ui/core/start.js%00.html", "/ui/core/%00", "/ui/core/start.js%0d%0aX-Own:%201", "/ui/%c0%ae%c0%ae/x", "/ui/core/",
        "/ui/core", "/ui/core/start.js/", "/UI/core/start.js", "/ui/core/start.js%20", "/.git/config", "/api/../api/book",
        "/api/samples/..%2f1", "/api/papers/%2e%2e", "/api/pictures/%2fetc%2fpasswd", "/api/pictures/../../etc/passwd",
    ):
        reply = served.ask("GET", path)
        assert reply.status in (400, 404), f"{path}: {reply.status}"
        assert b"root:" not in reply.body and not reply.header("X-Own"), path


def test_another_host_is_refused(served):
    port = served.port
    for host in ("rebound.example", f"rebound.example:{port}", f"127.0.0.1.rebound.example:{port}", "0.0.0.0", "[::1]:80",
                 f"localhost:{port}x", "localhost, rebound.example", "", "127.0.0.1:80@rebound.example"):
        for path in ("/", "/api/book", "/api/events"):
            assert served.ask("GET", path, headers={"Host": host}).status in (400, 403), f"{host} {path}"
    for host in (f"localhost:{port}", "localhost", f"127.0.0.1:{port}", "LOCALHOST:8080"):
        same(served.ask("GET", "/api/book", headers={"Host": host}).status, 200, host)


def test_another_site_changes_and_reads_nothing(served):
    here = f"http://127.0.0.1:{served.port}"
    body = b'{"name": "Forged"}'
    for origin in ("http://evil.example", "null", "", f"http://127.0.0.1:{served.port + 1}", here + ".evil.example",
                   here.replace("http", "https"), f"http://localhost:{served.port}", here + "/", None):
        for method, pattern, role in routes():
            if method == "GET":
                continue
            reply = served.ask(method, filled(pattern), body, headers={"Origin": origin}, origin=False)
            same(reply.status, 403, f"{method} {pattern} from {origin}")
        if origin is not None:
            same(served.ask("GET", "/api/book", headers={"Origin": origin}).status, 403, f"read from {origin}")
    for site, mode in (("cross-site", "no-cors"), ("same-site", "cors"), ("cross-site", "navigate"), ("odd", "cors")):
        told = {"Sec-Fetch-Site": site, "Sec-Fetch-Mode": mode}
        same(served.ask("GET", "/api/samples", headers=told).status, 403, f"{site} {mode}")
        same(served.ask("POST", "/api/samples", body, headers=told).status, 403, f"{site} {mode}")
        same(served.ask("GET", "/ui/core/start.js", headers=told).status, 200 if mode == "navigate" else 403, f"{site} {mode}")
    same(served.ask("GET", "/", headers={"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}).status, 200)
    same(served.ask("GET", "/api/book", headers={"Sec-Fetch-Site": "same-origin", "Sec-Fetch-Mode": "cors"}).status, 200)
    same(len(served.ask("GET", "/api/samples").json()["samples"]), 1)


def test_a_json_body_is_an_object_or_a_fault(served):
    for body in (b"", b"[]", b"{", b"3", b"\xff\xfe", b'{"a":1,"a":2}', b"[" * 200):
        reply = served.ask("POST", "/api/pair", body)
        same(reply.status, 400, f"{body[:20]}")
        assert fault(reply), body


def test_a_rig_from_a_browser_reaches_no_file(served):
    kept = served.book + ".kept"
    with open(kept, "w", encoding="utf-8") as file:
        file.write("12.8\n")
    for driver, address, source in (("scpi", f"usbtmc {kept}", "MEAS:VOLT?"), ("file", kept, "field 1"),
                                    ("lines", "stdin", "field 1"), ("replay", f"{served.book}:1", "voltage"),
                                    ("lines", f"serial {kept}", "field 1")):
        rig = f"[meter]\ndriver = {driver}\naddress = {address}\nvoltage from = {source}\n".encode()
        paper = served.ask("PUT", "/api/workshop/papers/rig?name=sly.rig", rig).json()["document"]
        for path, body in ((f"/api/rigs/{paper}/probe", b'{"seconds": 0.1}'),
                           ("/api/recordings", b'{"sample": "Hut pack 3", "kind": "discharge", "rig": %d}' % paper)):
            reply = served.ask("POST", path, body)
            same(reply.status, 400, f"{path} of {address}")
            assert "browser" in fault(reply) or "replay" in fault(reply), fault(reply)
    with open(kept, encoding="utf-8") as file:
        same(file.read(), "12.8\n", "the file")


def test_sixteen_pages_and_more_hear_the_same_news(served):
    lines = [served.connect() for _ in range(40)]
    for line in lines:
        line.sendall(f"GET /api/events?topics=book HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\n\r\n".encode())
    heard = [b""] * len(lines)
    for k, line in enumerate(lines):
        while b"\nid: " not in heard[k]:
            heard[k] += line.recv(65536)
    body = b'{"name": "Hut pack 4", "invented": true}'
    said = time.monotonic()
    same(served.ask("POST", "/api/samples", body).status, 201)
    for k, line in enumerate(lines):
        while b"event: book" not in heard[k]:
            piece = line.recv(65536)
            assert piece, "a stream ended"
            heard[k] += piece
    took = time.monotonic() - said
    assert took < 2, f"{took:.3f} s until all had heard"
    for line in lines:
        line.close()


def test_a_page_that_slept_hears_what_it_missed(served):
    def stream(headers):
        line = served.connect(timeout=3)
        line.sendall(f"GET /api/events HTTP/1.1\r\nHost: localhost:{served.port}\r\n{headers}\r\n".encode())
        heard = b""
        while b"id: " not in heard or not heard.endswith(b"\n\r\n"):
            heard += line.recv(65536)
        line.close()
        return heard.decode()

    last = stream("").split("id: ")[1].split("\n")[0]
    for name in ("Hut pack 5", "Hut pack 6"):
        served.ask("POST", "/api/samples", f'{{"name": "{name}"}}'.encode())
    missed = stream(f"Last-Event-ID: {last}\r\n")
    assert missed.count("event: book") >= 2 and "reload" not in missed, missed
    assert "event: reload" in stream("Last-Event-ID: 00000000deadbeef-3\r\n")
    assert "event: reload" in stream("Last-Event-ID: nonsense\r\n")


def test_a_second_one_is_told_where_the_first_is(served):
    done = subprocess.run([served.rundown, "open", served.book, "--no-browser"], capture_output=True, text=True,
                          timeout=20, check=False)
    same(done.returncode, 4)
    assert served.address in done.stderr, done.stderr
    same(served.ask("GET", "/api/book").status, 200)


def main():
    served = Served(sys.argv[1])
    passed, failed, skipped = Tests(globals()).run(served)
    status, words = served.end()
    if status != 0 or words:
        failed += 1
        print(f"FAILED  the server ended with status {status}: {words}")
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return failed > 0


if __name__ == "__main__":
    sys.exit(main())
