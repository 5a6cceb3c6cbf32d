#!/usr/bin/env python3
"""docs/performance.md from what the benchmarks wrote: performance_page.py RESULTS > docs/performance.md

Draws docs/pictures/cost-NAME.svg too.

RESULTS has NAME.json of each Google Benchmark program and NAME.txt of each that prints a table of its own. The text
over each table is the comment that its source begins with.
"""
import json
import pathlib
import re
import sys

import growth_picture

HEAD = """# How fast it is

Made by `./dev performance`, which runs the benchmarks of `tests/bench` one after the other and writes this page; nothing of it
is written by hand. Times are those of one machine on one day, and where others use it meanwhile they say little: compare the
processor times, and best the ratios to what stands beside in the same table. What is judged is the bar in each text.
So that it is made in minutes, spans and counts are shorter here than the texts say (unless told otherwise 6 s, 1,000 frames
and 10 unpluggings), and of `cabled` some bodies and paces are left out (`./dev` says which); `./dev bench` takes all in full.
"""

SECONDS = {"ns": 1e-9, "us": 1e-6, "ms": 1e-3, "s": 1.0}
OWN = {"name", "run_name", "run_type", "repetitions", "repetition_index", "threads", "iterations", "real_time", "cpu_time",
       "time_unit", "family_index", "per_family_instance_index", "aggregate_name", "label", "error_occurred", "error_message"}


# Of each picture: its name, the counter that is its work, the benchmarks that are its lines, and what limits it, as
# sampled with perf.
GROWTH = (
    ("sites", "sites", {"batch_of_sites": "contacts"}, 
     "Arithmetic limits it: sampled, nine tenths of the time are the shadow's place, its sines and cosines, and the search for the contacts."),
    ("frames", "frames", {"check_frames": "check"}, 
     "What is left of the Sun's disk limits it: sampled at 27,000 frames of partial phase, seven tenths of the time are its light, summed by rings for each exposure."),
    ("rigs", "rigs", {"rehearse_rigs": "rehearse", "check_rigs": "check"}, 
     "A rig costs what its frames do, 630 here: sampled with the check before it, a rehearsal has no one limit, and the largest share, three tenths, is the light of the partial Sun."),
    ("trials", "trials", {"trials": "rehearse --trials"}, 
     "One rehearsal each, on two threads, and no one place limits it: sampled, nothing in them takes more than a tenth of the time."),
    ("photos", "photos", {"collate_photos": "collate", "match_alone": "matching alone"}, 
     "Opening and reading the files limits it: sampled at 10,000, six tenths of the time are the kernel's."),
)


def growth(results, pictures):
    """The pictures that the results have, drawn, and the text that shows them."""
    runs = [run for result in results if result.suffix == ".json"
            for run in json.loads(result.read_text(encoding="utf-8"))["benchmarks"]]
    text = ["## How cost grows with work", "", "Whole times, on both scales by powers of ten; along the dotted line twice the work takes twice the time. "
            "`peak mb` in the tables below is the most memory that the whole benchmark's process held meanwhile.", ""]
    for name, work, lines, limit in GROWTH:
        drawn = []
        for benchmark, label in lines.items():
            points = [(run[work], run["real_time"] * SECONDS[run["time_unit"]]) for run in runs
                      if run["name"].split("/")[0] == benchmark and work in run]
            if points:
                drawn.append((label, points))
        if not drawn:
            continue
        (pictures / f"cost-{name}.svg").write_text(growth_picture.draw(work, drawn), encoding="utf-8")
        text += [f"**{name.capitalize()}.** {limit}", "", f"![Time over {work}](pictures/cost-{name}.svg)", ""]
    return text


def beginning(source):
    """The comment that a source begins with, on one line."""
    lines = []
    for line in source.read_text(encoding="utf-8").splitlines():
        if not line.startswith("//"):
            break
        lines.append(line[2:].strip())
    return " ".join(lines)


def number(value):
    """Four figures, no exponent."""
    if value == 0 or 1e-3 <= abs(value) < 1e4:
        return f"{value:.4g}"
    return f"{value:,.0f}" if abs(value) >= 1e4 else f"{value:.6f}"


def span(value, unit):
    """In the unit that suits it."""
    seconds = value * SECONDS[unit]
    for size, name in ((1.0, "s"), (1e-3, "ms"), (1e-6, "µs")):
        if seconds >= size:
            return f"{seconds / size:.3g} {name}"
    return f"{seconds / 1e-9:.3g} ns"


def row(run):
    name = re.sub(r"/(iterations:\d+|real_time|process_time)", "", run["name"]).replace("_", " ")
    if run.get("error_occurred"):
        return f"| {name} | failed: {run['error_message']} | | |"
    others = [f"{key.replace('_', ' ')} {number(value)}" for key, value in run.items()
              if key not in OWN and isinstance(value, (int, float))]
    if run.get("label"):
        others.insert(0, run["label"])
    return (f"| {name} | {span(run['real_time'], run['time_unit'])} | {span(run['cpu_time'], run['time_unit'])} "
            f"| {', '.join(others)} |")


def processor():
    for line in pathlib.Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
        if line.startswith("model name"):
            return line.split(":", 1)[1].strip()
    return "unknown processor"


def section(result, sources):
    name = result.stem
    text = [f"## {name.capitalize()}", "", beginning(sources / f"{name}_bench.cpp"), ""]
    if result.suffix == ".txt":
        when, *table = [line for line in result.read_text(encoding="utf-8").splitlines() if not line.startswith("[")]
        return text + [when + ".", "", "```", *table, "```", ""]
    data = json.loads(result.read_text(encoding="utf-8"))
    context = data["context"]
    load = ", ".join(f"{each:.1f}" for each in context.get("load_avg", []))
    text += [f"{context['date'][:10]}, load of the machine {load}.", "", "| what | time | processor | |", "|---|---|---|---|"]
    return text + [row(run) for run in data["benchmarks"]] + [""]


def main():
    results = sorted(path for path in pathlib.Path(sys.argv[1]).iterdir() if path.suffix in (".json", ".txt"))
    if not results:
        sys.exit(f"performance_page: no results in {sys.argv[1]}")
    cores = next((json.loads(path.read_text(encoding="utf-8"))["context"]["num_cpus"]
                  for path in results if path.suffix == ".json"), "?")
    lines = [HEAD, f"The machine: {processor()}, {cores} cores.", ""]
    sources = pathlib.Path(__file__).parent
    lines += growth(results, sources.parent.parent / "docs" / "pictures")
    for result in results:
        lines += section(result, sources)
    measured = {result.stem for result in results} | {"cabled_soak"}  # a part of `cabled`
    left_out = sorted({path.stem.removesuffix("_bench") for path in sources.glob("*_bench.cpp")} - measured)
    if left_out:
        lines += [f"Not run this time: {', '.join(left_out)}.", ""]
    print("\n".join(lines).rstrip())


if __name__ == "__main__":
    main()
