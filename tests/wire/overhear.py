"""Stands between a PTP/IP host and a body and keeps what passes, for Wireshark's text2pcap.

usage: overhear.py PORT BODY_PORT FOLDER

Listens on PORT of the loopback address and passes everything on to BODY_PORT and back. The first connection is kept as
FOLDER/commands.txt, the second as FOLDER/events.txt, a dump for each PTP/IP packet: "O" (by the host) or "I" (by the
body), then offsets and bytes. A packet is as long as its first four bytes say. Ends when both connections are closed;
exit 1 when something was left that is no whole packet.
"""
import pathlib
import selectors
import socket
import sys


class Log:
    """Of one connection."""

    def __init__(self, path):
        self.path = path
        self.text = ""
        self.rest = {"O": b"", "I": b""}

    def take(self, direction, chunk):
        rest = self.rest[direction] + chunk
        while len(rest) >= 4 and len(rest) >= (length := max(int.from_bytes(rest[:4], "little"), 4)):
            self.text += dump(direction, rest[:length])
            rest = rest[length:]
        self.rest[direction] = rest

    def close(self):
        self.path.write_text(self.text, encoding="ascii")
        return not any(self.rest.values())


def dump(direction, packet):
    lines = [f"{n:06x} {packet[n:n + 16].hex(' ')}" for n in range(0, len(packet), 16)]
    return "\n".join([direction, *lines, ""])


def accept(listener, body_port, log, watched):
    host, _ = listener.accept()
    body = socket.create_connection(("127.0.0.1", body_port))
    for end in (host, body):
        end.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    watched.register(host, selectors.EVENT_READ, (body, "O", log))
    watched.register(body, selectors.EVENT_READ, (host, "I", log))


def pass_on(end, other, direction, log):
    """False when nothing more will come from this end."""
    chunk = end.recv(65536)
    log.take(direction, chunk)
    try:
        if chunk:
            other.sendall(chunk)
        else:
            other.shutdown(socket.SHUT_WR)
    except OSError:
        pass  # it closed first
    return bool(chunk)


def main(port, body_port, folder):
    logs = [Log(pathlib.Path(folder) / name) for name in ("commands.txt", "events.txt")]
    listener = socket.create_server(("127.0.0.1", port))
    (pathlib.Path(folder) / "listening").touch()
    watched = selectors.DefaultSelector()
    watched.register(listener, selectors.EVENT_READ)
    coming, ends = list(logs), 0
    while coming or ends > 0:
        for key, _ in watched.select():
            if key.fileobj is listener:
                accept(listener, body_port, coming.pop(0), watched)
                ends += 2
            elif not pass_on(key.fileobj, *key.data):
                watched.unregister(key.fileobj)
                ends -= 1
    return all([log.close() for log in logs])


if __name__ == "__main__":
    sys.exit(0 if main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]) else 1)
