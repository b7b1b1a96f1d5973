#!/usr/bin/env python3
"""Ten thousand requests, spoilt from good ones over every route: each is answered in good form or dropped, and the
server lives, says nothing on standard error (where the sanitizers speak) and ends as it should.

usage: fuzzed.py RUNDOWN [COUNT [SEED]]
"""
import json
import random
import socket
import struct
import sys
import threading
import time

from served import Reply, Served, routes

WORKERS = 4
WORDS = (
    b"\r\n", b"\r\n\r\n", b"\n", b"\0", b"%", b"%00", b"%2e%2e/", b"../", b"//", b"?", b"&", b"=", b"#", b"\xff", b"\xc3\xa9",
    b"{", b"}", b"[", b"]", b'"', b"null", b"-1", b"0", b"1e999", b"nan", b"9223372036854775808", b"99999999999999999999",
    b"Content-Length: 5\r\n", b"Transfer-Encoding: chunked\r\n", b"Expect: 100-continue\r\n", b"Range: bytes=0-1,2-\r\n",
    b"Host: x\r\n", b"Cookie: rundown-1=", b"If-None-Match: *\r\n", b"Last-Event-ID: 1-1\r\n", b" ", b"\t", b":", b";q=",
    b"A" * 300, b"HTTP/1.0", b"HTTP/1.1", b"<svg>", b"'; DROP TABLE sample;--", b"\xed\xa0\x80",
)
QUERIES = (
    b"", b"?from=0&to=1e4&points=200", b"?from=nan&to=-1", b"?topics=live,book", b"?name=label", b"?samples=1,2,3",
    b"?last=0000000000000001-1", b"?step=1&of=2", b"?a=%20&b=+",
)
BODIES = (
    {}, {"name": "Hut pack 9", "invented": True}, {"code": "ABCD2345"}, {"sample": 1, "kind": "discharge"},
    {"line": "12:31 12.84 V 20.1 A"}, {"step": 1, "done": True}, {"what": "mark", "text": "load on"},
    {"text": "[sample]\nname = x\n"}, {"columns": ["voltage=2"], "sample": 1},
)
LAST = (("DELETE", "/api/samples/{}"), ("DELETE", "/api/runs/{}"))


def good_request(random_, port, table):
    method, pattern, _ = random_.choice(table)
    # What the others ask about stays in the book.
    path = pattern.replace("{}", "77") if (method, pattern) in LAST else pattern
    while "{}" in path:
        path = path.replace("{}", random_.choice(("1", "2", "label", "rig", "core", "start.js", "capacity", "77")), 1)
    body = b"" if method == "GET" else json.dumps(random_.choice(BODIES)).encode()
    if body and random_.random() < 0.2:
        body = b"[sample]\nname = Hut pack\nrated capacity = 100 Ah\n"
    head = f"{method} {path}".encode() + (random_.choice(QUERIES) if method == "GET" else b"") + b" HTTP/1.1\r\n"
    head += f"Host: 127.0.0.1:{port}\r\nOrigin: http://127.0.0.1:{port}\r\n".encode()
    if body and random_.random() < 0.2:
        return head + b"Transfer-Encoding: chunked\r\n\r\n" + b"%x\r\n%s\r\n0\r\n\r\n" % (len(body), body)
    if body:
        head += b"Content-Length: %d\r\nContent-Type: application/json\r\n" % len(body)
    return head + b"\r\n" + body


def spoil(random_, raw):
    """One to four small damages, most of them where they hurt: in the first line or in the body."""
    for _ in range(random_.choice((0, 1, 1, 1, 2, 4))):
        reach = len(raw) if random_.random() < 0.6 else min(len(raw), 60)
        at = random_.randrange(reach + 1)
        kind = random_.randrange(6)
        if kind == 0:
            raw = raw[:at] + bytes([random_.randrange(256)]) + raw[at + 1:]
        elif kind == 1:
            raw = raw[:at] + random_.choice(WORDS) + raw[at:]
        elif kind == 2:
            raw = raw[:at] + raw[at + random_.randrange(1, 12):]
        elif kind == 3:
            piece = raw[at:at + random_.randrange(1, 40)]
            raw = raw[:at] + piece * random_.randrange(2, 6) + raw[at:]
        elif kind == 4:
            raw = raw[:at] + random_.choice(WORDS) + raw[at + random_.randrange(1, 8):]
        else:
            raw = raw[:at]
    return raw


def converse(served, raw):
    """The reply as it came, b"" when the line was dropped. Leaves no line waiting in the system."""
    heard = b""
    with served.connect(timeout=20) as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        try:
            line.sendall(raw)
            line.shutdown(socket.SHUT_WR)
            while piece := line.recv(65536):
                heard += piece
                if b"text/event-stream" in heard or (b"\r\n\r\n" in heard and Reply(heard).whole):
                    break
        except ConnectionError:
            pass
    return heard


def fault_of(heard):
    """What is wrong with a reply, or None."""
    if heard == b"":
        return None
    reply = Reply(heard)
    if not 100 <= reply.status < 600 or reply.status == 500:
        return f"status {reply.status}"
    if reply.header("Content-Type") == "application/json" and reply.whole and reply.body and reply.status >= 400:
        try:
            if not reply.json()["fault"]["what"]:
                return "a fault without words"
        except (ValueError, KeyError):
            return "a fault that is no JSON"
    return None


class Worker(threading.Thread):
    def __init__(self, served, table, seed, count):
        super().__init__()
        self.served, self.table, self.count = served, table, count
        self.random = random.Random(seed)
        self.faults, self.seen, self.slowest = [], {}, (0, b"")

    def run(self):
        for _ in range(self.count):
            raw = spoil(self.random, good_request(self.random, self.served.port, self.table))
            began = time.monotonic()
            try:
                heard = converse(self.served, raw)
            except OSError as fault:
                self.faults.append(f"{fault!r} after {raw!r}")
                return
            took = time.monotonic() - began
            if took > self.slowest[0]:
                self.slowest = (took, raw)
            status = Reply(heard).status
            self.seen[status] = self.seen.get(status, 0) + 1
            fault = fault_of(heard)
            if fault is not None:
                self.faults.append(f"{fault} to {raw!r}: {heard[:300]!r}")


def main():
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 10000
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 20261125
    served = Served(sys.argv[1])
    table = routes()
    workers = [Worker(served, table, seed + k, count // WORKERS) for k in range(WORKERS)]
    began = time.monotonic()
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    took = time.monotonic() - began
    faults = [fault for worker in workers for fault in worker.faults]
    alive = served.ask("GET", "/api/book").status
    status, words = served.end()
    seen = {}
    for worker in workers:
        for key, n in worker.seen.items():
            seen[key] = seen.get(key, 0) + n
    slowest = max(worker.slowest for worker in workers)
    print(f"{sum(seen.values())} requests in {took:.1f} s, statuses {dict(sorted(seen.items()))}, "
          f"slowest {slowest[0]:.2f} s: {slowest[1][:120]!r}")
    if alive != 200 or status != 0 or words:
        faults.append(f"the server: /api/book {alive}, ended with {status}: {words[:4000]}")
    if len(seen) < 6 or seen.get(200, 0) < count // 50:
        faults.append(f"the requests reach too little: {seen}")
    for fault in faults[:20]:
        print(f"FAILED  {fault}")
    print(f"{int(not faults)} passed, {len(faults)} failed, 0 skipped")
    return len(faults) > 0


if __name__ == "__main__":
    sys.exit(main())
