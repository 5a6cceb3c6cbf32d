#!/usr/bin/env python3
"""A day of waiting and hours of shooting at 60 times: does anything grow?

    tests/bench/soak.py build/release/daemon/noonfalld FOLDER

Six rigs shoot four hours of plan after 24 hours of waiting (28 minutes of ours), with a client at the watch page.
Every five seconds the memory, descriptors and log of the daemon and its workers are written down: soak.csv and soak.svg
in FOLDER. Words are spoken at the day's own pace only, so the voice is off.
"""
import argparse
import csv
import json
import os
import pathlib
import subprocess
import threading
import time
import urllib.request

SPEED = 60
ADDRESS = "127.0.0.1:8127"

PLAN = """noonfall: 1
title: Soak
eclipse: 2027-08-02
site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m}
rigs:
%ssteps:
  - {name: before, rigs: all, subject: photosphere, from: C1 - 40 min, until: C2 - 2 min, every: 20 s, exposure: {shutter: 1/1000}}
  - {name: corona, rigs: all, subject: corona 1.0, from: C2 + 60 s, until: C3 - 60 s, every: back to back, bracket: {from: 1/500, to: 1/2, by: 2 stops}}
  - {name: after, rigs: all, subject: photosphere, from: C3 + 2 min, until: C4 + 40 min, every: 20 s, exposure: {shutter: 1/1000}}
"""
# One person each, so that six camera filters can come off within one minute.
RIG = """  rig-%d:
    body: {simulate: %s}
    lens: {focal_length: 600 mm}
    mount: tracking
    person: helper-%d
    exposure: {aperture: f/8, iso: 400}
    files: raw
    filter: {density: 5.0, opens: C2 - 30 s, closes: C3 + 30 s, handling: 8 s}
"""


def plan():
    return PLAN % "".join(RIG % (n, ("mirrorless-20", "mirror-24")[n % 2], n) for n in range(1, 7))


def of_process(pid):
    """Resident memory in MB and open descriptors; None when it is gone."""
    try:
        pages = int(pathlib.Path(f"/proc/{pid}/statm").read_text().split()[1])
        return pages * os.sysconf("SC_PAGESIZE") / 1e6, len(os.listdir(f"/proc/{pid}/fd"))
    except (OSError, IndexError):
        return None


def children(pid):
    return [int(child) for child in pathlib.Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def watch(stopped, seen):
    """A client of the page, for as long as there is one."""
    while not stopped.is_set():
        try:
            with urllib.request.urlopen(f"http://{ADDRESS}/events", timeout=30) as events:
                for line in events:
                    seen[0] += line.startswith(b"data:")
                    if stopped.is_set():
                        return
        except OSError:
            time.sleep(1)


def soak(noonfalld, folder, until):
    (folder / "soak.yaml").write_text(plan())
    daemon = subprocess.Popen(
        [noonfalld, "soak.yaml", "--simulate", "--move", until, "--speed", str(SPEED), "--state", "run", "--page", ADDRESS],
        cwd=folder, stdin=subprocess.DEVNULL, stdout=(folder / "screen.txt").open("w"), stderr=subprocess.STDOUT)
    stopped, seen = threading.Event(), [0]
    threading.Thread(target=watch, args=(stopped, seen), daemon=True).start()
    began, rows, log = time.monotonic(), [], folder / "run" / "shots.jsonl"
    while daemon.poll() is None:
        time.sleep(5)
        own = of_process(daemon.pid)
        workers = [got for got in map(of_process, children(daemon.pid) if own else []) if got]
        if own and workers:
            rows.append({"hours": (time.monotonic() - began) * SPEED / 3600, "daemon_mb": own[0], "daemon_fds": own[1],
                         "workers": len(workers), "worker_mb": max(w[0] for w in workers),
                         "worker_fds": max(w[1] for w in workers), "log_mb": log.stat().st_size / 1e6 if log.exists() else 0})
    stopped.set()
    if daemon.returncode != 0:
        raise SystemExit(f"soak: noonfalld ended with {daemon.returncode}: {folder}/screen.txt")
    return rows, lateness(log), seen[0]


def lateness(log):
    """Of each frame that fired: hours since the first line, and how late in milliseconds of real time."""
    frames, first = [], None
    for line in log.read_text().splitlines():
        entry = json.loads(line)
        at = time.mktime(time.strptime(entry["utc"][:19], "%Y-%m-%dT%H:%M:%S"))
        first = at if first is None else first
        if entry["kind"] == "outcome" and entry["result"] == "fired" and "late_ms" in entry:
            frames.append(((at - first) / 3600, entry["late_ms"] / SPEED))
    return frames


def panel(top, title, lines, hours, dots=False):
    """One graph: lines is [(label, colour, [(hours, value)])]; its scale begins at nothing."""
    left, width, height = 60, 660, 110
    highest = max((value for _, _, points in lines for _, value in points), default=1) * 1.15 or 1
    place = lambda point: (left + point[0] / hours * width, top + height - max(point[1], 0) / highest * height)
    out = [f'<text x="{left}" y="{top - 8}" font-weight="bold">{title}</text>',
           f'<path d="M{left} {top}V{top + height}H{left + width}" fill="none" stroke="#666"/>']
    for share in (0, 0.5, 1):
        value, y = highest * share, top + height - height * share
        out.append(f'<text x="{left - 6}" y="{y + 4:.0f}" text-anchor="end">{value:.3g}</text>')
    for number, (label, colour, points) in enumerate(lines):
        places = [place(point) for point in points]
        if dots:
            out += [f'<circle cx="{x}" cy="{y}" r="1" fill="{colour}"/>' for x, y in sorted({(round(x), round(y)) for x, y in places})]
        elif places:
            out.append(f'<polyline points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in places)}" fill="none" stroke="{colour}" stroke-width="1.5"/>')
        if label:
            out.append(f'<text x="{left + width}" y="{top - 8 + 14 * number - 14 * (len(lines) - 1)}" text-anchor="end" fill="{colour}">{label}</text>')
    return out


def draw(rows, frames, file):
    hours = max(row["hours"] for row in rows)
    line = lambda key: [(row["hours"], row[key]) for row in rows]
    blue, orange = "#0b5394", "#b45f06"
    out = ['<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 760 690" font-family="sans-serif" font-size="12">',
           '<rect width="760" height="690" fill="white"/>']
    out += panel(50, "resident memory, MB", [("noonfalld", blue, line("daemon_mb")), ("the largest worker", orange, line("worker_mb"))], hours)
    out += panel(210, "open descriptors", [("noonfalld", blue, line("daemon_fds")), ("the worker with most", orange, line("worker_fds"))], hours)
    out += panel(370, "shot log, MB", [("", blue, line("log_mb"))], hours)
    out += panel(530, "how late each shutter opened, ms of real time", [("", blue, frames)], hours, dots=True)
    for share in range(0, 5):
        out.append(f'<text x="{60 + 660 * share / 4}" y="662" text-anchor="middle">{hours * share / 4:.0f} h</text>')
    out.append('<text x="390" y="682" text-anchor="middle">hours of the run, which went 60 times as fast</text></svg>')
    file.write_text("\n".join(out) + "\n")


def main():
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("noonfalld", type=pathlib.Path)
    arguments.add_argument("folder", type=pathlib.Path)
    arguments.add_argument("--until", default="C1=+1480min", help="when the first contact is; 40 min before it shooting begins")
    given = arguments.parse_args()
    given.folder.mkdir(parents=True)
    rows, frames, seen = soak(given.noonfalld.resolve(), given.folder, given.until)
    with (given.folder / "soak.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    draw(rows, frames, given.folder / "soak.svg")
    late = sorted(value for _, value in frames)
    settled = [row for row in rows if row["hours"] >= rows[-1]["hours"] / 10]
    for key in ("daemon_mb", "daemon_fds", "worker_mb", "worker_fds"):
        print(f"{key}: {settled[0][key]:.1f} to {rows[-1][key]:.1f}, most {max(row[key] for row in rows):.1f}")
    print(f"log: {rows[-1]['log_mb']:.1f} MB; {len(late)} frames, late by {late[len(late) // 2]:.2f} ms (median), "
          f"{late[int(len(late) * 0.99)]:.2f} ms (99 %), {late[-1]:.2f} ms (worst); {seen} states seen at the page")


main()
