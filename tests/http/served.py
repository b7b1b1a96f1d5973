"""A book served by the program, and requests to it in plain bytes."""
import json
import pathlib
import re
import socket
import subprocess
import tempfile

TOP = pathlib.Path(__file__).resolve().parents[2]


def routes():
    """(method, pattern, role) of every route, as the tables in src/web name them."""
    route = re.compile(
        r'(?:\.method = )?"(GET|POST|PUT|PATCH|DELETE)",\s*(?:\.pattern = )?"(/[^"]*)",\s*(?:\.role = )?HTTP_([A-Z]+)'
    )
    found = []
    for source in sorted((TOP / "src/web").glob("on_*.c")):
        words = source.read_text(encoding="utf-8")
        found += route.findall(words)
        found += [("GET", page, "ANYONE") for page in re.findall(r'PAGE\("(/[^"]*)"\)', words)]
    return found


def own_address():
    """An address of this machine that is not loopback, or None. Connecting a datagram socket sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(("192.0.2.1", 9))
            address = way.getsockname()[0]
        except OSError:
            return None
    return None if address.startswith("127.") or address == "0.0.0.0" else address


class Reply:
    def __init__(self, raw):
        self.raw = raw
        head, _, rest = raw.partition(b"\r\n\r\n")
        lines = head.decode("latin-1").split("\r\n")
        first = lines[0].split(" ", 2)
        self.status = int(first[1]) if len(first) > 1 and first[1].isdigit() else 0
        self.headers = {}
        for line in lines[1:]:
            name, _, value = line.partition(":")
            self.headers.setdefault(name.lower(), value.strip())
        length = self.headers.get("content-length", "")
        self.whole = self.status in (204, 304) or (length.isdigit() and len(rest) >= int(length))
        self.body = rest[:int(length)] if length.isdigit() else rest

    def header(self, name):
        return self.headers.get(name.lower(), "")

    def json(self):
        return json.loads(self.body)


class Served:
    """`rundown open` of a new book in a folder of its own."""

    def __init__(self, rundown, *options, book=None):
        self.rundown = str(rundown)
        self.folder = tempfile.TemporaryDirectory()
        self.book = str(book or pathlib.Path(self.folder.name) / "hut.book")
        if book is None:
            self.run("book", "new", self.book)
            self.run("sample", "add", self.book, "Hut pack 3", "--invented", "--label", str(TOP / "demo/hut-pack.label"))
            self.run("import", self.book, str(TOP / "demo/hut-pack.log.csv"), "--sample", "Hut pack 3")
        self.errors = open(pathlib.Path(self.folder.name) / "errors", "w+", encoding="utf-8")
        self.process = subprocess.Popen(
            [self.rundown, "open", self.book, "--no-browser", "--port", "0", *options],
            stdout=subprocess.PIPE, stderr=self.errors, text=True,
        )
        self.address = self.process.stdout.readline().strip()
        found = re.fullmatch(r"http://([\d.]+):(\d+)/", self.address)
        if found is None:
            self.process.wait(10)
            self.errors.seek(0)
            raise SystemExit(f"the server did not start: {self.address} {self.errors.read()}")
        assert found[1] == "127.0.0.1", self.address
        self.port = int(found[2])

    def run(self, *words):
        done = subprocess.run([self.rundown, *words], capture_output=True, text=True, check=False)
        if done.returncode != 0:
            raise SystemExit(f"{' '.join(words)}: {done.stderr}")
        return done.stdout

    def more_lines(self, count):
        return [self.process.stdout.readline().strip() for _ in range(count)]

    def connect(self, host="127.0.0.1", timeout=10):
        line = socket.create_connection((host, self.port), timeout=timeout)
        line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return line

    def send(self, raw, host="127.0.0.1", timeout=10, head_only=False):
        """One request on a line of its own; the reply, status 0 when the line was dropped without one."""
        with self.connect(host, timeout) as line:
            try:
                line.sendall(raw)
            except OSError:
                pass  # refused before it had all
            return hear(line, head_only)

    def ask(self, method, path, body=b"", headers=None, host="127.0.0.1", origin=True, **how):
        lines = {"Host": f"{host}:{self.port}"}
        if origin and method not in ("GET", "HEAD"):
            lines["Origin"] = f"http://{host}:{self.port}"
        if body:
            lines["Content-Length"] = str(len(body))
        lines.update(headers or {})
        head = f"{method} {path} HTTP/1.1\r\n" + "".join(f"{n}: {v}\r\n" for n, v in lines.items() if v is not None)
        return self.send(head.encode() + b"\r\n" + body, host, head_only=method == "HEAD", **how)

    def end(self):
        """Ends it as Ctrl-C does; its exit status and what it wrote to standard error."""
        self.process.terminate()
        status = self.process.wait(30)
        self.errors.seek(0)
        words = self.errors.read()
        self.errors.close()
        self.process.stdout.close()
        left = [p.name for p in pathlib.Path(self.book).parent.iterdir() if p.name.endswith(("-open", "-spool"))]
        self.folder.cleanup()
        return status, words + "".join(f"left behind: {name}\n" for name in left)


def hear(line, head_only=False):
    """What comes until the reply is whole, the line ends, or (a stream) its head has come."""
    heard = b""
    try:
        while True:
            if b"\r\n\r\n" in heard:
                reply = Reply(heard)
                if head_only or reply.whole or "event-stream" in reply.header("Content-Type"):
                    return reply
            piece = line.recv(65536)
            if not piece:
                break
            heard += piece
    except (ConnectionError, TimeoutError):
        pass
    return Reply(heard)


class Tests:
    """Runs the functions of a module whose names begin with test_, and closes on a line of counts."""

    def __init__(self, module):
        self.functions = [f for name, f in module.items() if name.startswith("test_")]

    def run(self, *arguments):
        passed = failed = skipped = 0
        for function in self.functions:
            name = function.__name__[5:]
            try:
                reason = function(*arguments)
            except Exception as fault:  # pylint: disable=broad-except
                failed += 1
                print(f"FAILED  {name}: {fault!r}")
                continue
            if reason is not None:
                skipped += 1
                print(f"    skipped: {reason}\nskipped {name}")
            else:
                passed += 1
                print(f"passed  {name}")
        return passed, failed, skipped


def same(got, want, what=""):
    assert got == want, f"{what} is {got!r}, not {want!r}"
