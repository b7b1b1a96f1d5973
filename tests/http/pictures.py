#!/usr/bin/env python3
"""Pictures sent over the wire: what is taken, what is refused, and that what is shown tells nothing of where it was
taken.

usage: pictures.py RUNDOWN
"""
import struct
import sys
import threading
import zlib

from served import Served, Tests, same

MOST = 64 << 20


def chunk(kind, body):
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png(width, height, more=b""):
    rows = b"".join(b"\0" + bytes((x * y) % 256 for x in range(width)) for y in range(height))
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + more + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


WHERE = b"at 46.5 north, Stonebell Hut"
PICTURE = png(300, 200, chunk(b"tEXt", b"Comment\0" + WHERE))


def send(served, body, query="", sample=1, **how):
    return served.ask("POST", f"/api/samples/{sample}/pictures{query}", body, **how)


def test_what_is_shown_is_small_and_tells_nothing(served):
    made = send(served, PICTURE, "?name=..%2F..%2Fetc%2Fpasswd&caption=Bus%20bar&item=bus-bar")
    same(made.status, 200, made.body)
    one = made.json()
    same((one["name"], one["kind"], one["item"], one["shown"]), ("passwd", "image/png", "bus-bar", False))
    same((one["width"], one["height"], one["bytes"]), (300, 200, len(PICTURE)))
    at = f"/api/pictures/{one['picture']}"
    shown = served.ask("GET", at + "?side=100")
    same((shown.status, shown.header("Content-Type")), (200, "image/jpeg"))
    assert WHERE not in shown.body and shown.body.startswith(b"\xff\xd8"), shown.body[:80]
    again = served.ask("GET", at + "?side=100", headers={"If-None-Match": shown.header("ETag")})
    same((again.status, again.body), (304, b""))
    other = served.ask("GET", at + "?side=101", headers={"If-None-Match": shown.header("ETag")})
    same(other.status, 200)
    original = served.ask("GET", at + "?original=1")
    same((original.status, original.body), (200, PICTURE))
    assert original.header("Content-Disposition").startswith("attachment"), original.headers
    same(original.header("Content-Type"), "application/octet-stream")
    for side in ("0", "15", "4097", "1e9", "nan", "-1", "x", ""):
        same(served.ask("GET", f"{at}?side={side}").status, 400, side)
    same(served.ask("PATCH", at, b'{"shown": true}').json()["shown"], True)
    same(served.ask("GET", "/api/samples/1").json()["pictures"][0]["shown"], True)
    same(served.ask("DELETE", at).status, 200)
    same(served.ask("GET", at).status, 404)


def test_what_is_no_picture_is_refused(served):
    for body in (b"GIF89a" + b"\0" * 100, b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>",
                 b"\xff\xd8\xff" + b"\0" * 300, PICTURE[:150], PICTURE[:40] + b"\xff" * 200, b"RIFF\0\0\0\0WEBPVP8 " + b"\1" * 60,
                 b"\0\0\0\x18ftypheic\0\0\0\0" + b"\0" * 40, b"x"):
        same(send(served, body, "?name=photo.jpg").status, 415, body[:20])
    bomb = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 60000, 60000, 8, 2, 0, 0, 0))
    same(send(served, bomb).status, 413)
    same(send(served, b"").status, 400)
    same(send(served, PICTURE, sample=99).status, 404)
    same(send(served, PICTURE, "?run=99").status >= 400, True)
    same(send(served, PICTURE, "?item=" + "a" * 96).status, 400)
    same(send(served, PICTURE, "?caption=" + "a" * 1001).status, 400)
    same(len(served.ask("GET", "/api/samples/1").json()["pictures"]), 0)


def test_what_is_too_large_is_refused_before_it_is_sent(served):
    head = f"POST /api/samples/1/pictures HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\n" \
           f"Origin: http://127.0.0.1:{served.port}\r\nContent-Length: {MOST + 1}\r\n\r\n"
    same(served.send(head.encode()).status, 413)


def test_many_at_once_are_all_shown(served):
    number = send(served, png(1500, 1100)).json()["picture"]
    heard = []
    asked = [threading.Thread(target=lambda side=side: heard.append(
        served.ask("GET", f"/api/pictures/{number}?side={side}", timeout=60).status)) for side in range(200, 212)]
    for one in asked:
        one.start()
    for one in asked:
        one.join()
    same(heard, [200] * 12)
    same(served.ask("GET", f"/api/pictures/{number}/codes").json(), {"codes": [], "batch": None})


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
