"""A bench of a served book: recordings asked for and heard as pages do."""
import json

from served import Served


class Bench(Served):
    def asked(self, method, path, value=None):
        """The status and the JSON of the answer."""
        body = b"" if value is None else json.dumps(value).encode()
        reply = self.ask(method, path, body, {"Content-Type": "application/json"}, timeout=30)
        return reply.status, reply.json()

    def good(self, method, path, value=None):
        status, answer = self.asked(method, path, value)
        assert status == 200, (method, path, status, answer)
        return answer

    def say(self, run, line):
        return self.good("POST", f"/api/recordings/{run}/say", {"line": line, "ago_ms": 0})

    def state(self, run):
        return self.good("GET", f"/api/recordings/{run}")

    def events(self, topics, last_id=""):
        """A connection on which the events come."""
        line = self.connect()
        last = f"Last-Event-ID: {last_id}\r\n" if last_id else ""
        line.sendall(f"GET /api/events?topics={topics} HTTP/1.1\r\nHost: 127.0.0.1:{self.port}\r\n{last}\r\n".encode())
        return line

    def kill(self):
        self.process.kill()
        self.process.wait()
        self.process.stdout.close()
        self.errors.close()
        self.folder.cleanup()
