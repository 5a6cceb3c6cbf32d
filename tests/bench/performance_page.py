#!/usr/bin/env python3
"""docs/performance.md from what the benchmarks wrote: performance_page.py RESULTS > docs/performance.md

RESULTS has NAME.json of each Google Benchmark program and NAME.txt of each that prints a table of its own. The text
over each table is the comment that its source begins with.
"""
import json
import pathlib
import re
import sys

HEAD = """# How fast it is

Made by `./dev performance`, which runs the benchmarks of `tests/bench` one after the other and writes this page; nothing of it
is written by hand. Times are those of one machine on one day, and where others use it meanwhile they say little: compare the
processor times, and best the ratios to what stands beside in the same table. What is judged is the bar in each text.
"""

OWN = {"name", "run_name", "run_type", "repetitions", "repetition_index", "threads", "iterations", "real_time", "cpu_time",
       "time_unit", "family_index", "per_family_instance_index", "aggregate_name", "label", "error_occurred", "error_message"}


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
    seconds = value * {"ns": 1e-9, "us": 1e-6, "ms": 1e-3, "s": 1.0}[unit]
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
    for result in results:
        lines += section(result, sources)
    measured = {result.stem for result in results} | {"cabled_soak"}  # a part of `cabled`
    left_out = sorted({path.stem.removesuffix("_bench") for path in sources.glob("*_bench.cpp")} - measured)
    if left_out:
        lines += [f"Not run this time: {', '.join(left_out)}.", ""]
    print("\n".join(lines).rstrip())


if __name__ == "__main__":
    main()
