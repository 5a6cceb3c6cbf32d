"""How cost grows with work: times over amounts, both by powers of ten, as SVG."""
import math

INKS = (("#0b5394", "", "circle"), ("#b45f06", ' stroke-dasharray="6 3"', "square"))
LEFT, TOP, WIDTH, HEIGHT = 70, 34, 420, 260


def shown(seconds):
    """"10 ms", of a power of ten."""
    for size, unit in ((1.0, "s"), (1e-3, "ms"), (1e-6, "µs"), (1e-9, "ns")):
        if seconds >= size * 0.999:
            return f"{seconds / size:.0f} {unit}"
    return f"{seconds:.0e} s"


def decades(values):
    return math.floor(math.log10(min(values)) + 1e-9), math.ceil(math.log10(max(values)) - 1e-9)


def mark(shape, x, y, ink):
    if shape == "circle":
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5" fill="{ink}"/>'
    return f'<rect x="{x - 3.5:.1f}" y="{y - 3.5:.1f}" width="7" height="7" fill="white" stroke="{ink}" stroke-width="1.5"/>'


def draw(work, lines):
    """`lines` is [(label, [(amount, seconds)])], at most two; `work` is what the amounts are of."""
    first, last = decades([amount for _, points in lines for amount, _ in points])
    low, high = decades([seconds for _, points in lines for _, seconds in points])
    across = lambda amount: LEFT + (math.log10(amount) - first) / max(last - first, 1) * WIDTH
    up = lambda seconds: TOP + HEIGHT - (math.log10(seconds) - low) / max(high - low, 1) * HEIGHT
    bottom, right = TOP + HEIGHT, LEFT + WIDTH
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {right + 30} {bottom + 50}" font-family="sans-serif" font-size="12">',
           f'<rect width="{right + 30}" height="{bottom + 50}" fill="white"/>']
    for power in range(first, last + 1):
        x = across(10 ** power)
        out += [f'<path d="M{x:.1f} {TOP}V{bottom}" stroke="#ddd"/>',
                f'<text x="{x:.1f}" y="{bottom + 18}" text-anchor="middle">{10 ** power:,}</text>']
    for power in range(low, high + 1):
        y = up(10.0 ** power)
        out += [f'<path d="M{LEFT} {y:.1f}H{right}" stroke="#ddd"/>',
                f'<text x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{shown(10.0 ** power)}</text>']
    out.append(f'<path d="M{LEFT} {TOP}V{bottom}H{right}" fill="none" stroke="#666"/>')
    # Twice the work in twice the time, through where the first line ends, as far as it is in the picture.
    amount, seconds = max(lines[0][1])
    begin = max(10.0 ** first, amount * 10.0 ** low / seconds)
    end = min(10.0 ** last, amount * 10.0 ** high / seconds)
    out.append(f'<path d="M{across(begin):.1f} {up(seconds * begin / amount):.1f}L{across(end):.1f} {up(seconds * end / amount):.1f}" '
               'stroke="#888" stroke-width="1.5" stroke-dasharray="1.5 3"/>')
    # The legend stands over the picture, where no line can run through it.
    x = LEFT
    for (label, points), (ink, dashes, shape) in zip(lines, INKS):
        path = " ".join(f"{across(each):.1f},{up(took):.1f}" for each, took in sorted(points))
        out.append(f'<polyline points="{path}" fill="none" stroke="{ink}" stroke-width="2"{dashes}/>')
        out += [mark(shape, across(each), up(took), ink) for each, took in points]
        out += [f'<path d="M{x} 16h28" stroke="{ink}" stroke-width="2"{dashes}/>', mark(shape, x + 14, 16, ink),
                f'<text x="{x + 34}" y="20">{label}</text>']
        x += 52 + 7 * len(label)
    out += [f'<path d="M{x} 16h28" stroke="#888" stroke-width="1.5" stroke-dasharray="1.5 3"/>',
            f'<text x="{x + 34}" y="20">slope 1</text>',
            f'<text x="{LEFT + WIDTH / 2}" y="{bottom + 40}" text-anchor="middle">{work}</text>',
            f'<text x="16" y="{TOP + HEIGHT / 2}" text-anchor="middle" transform="rotate(-90 16 {TOP + HEIGHT / 2})">time</text></svg>']
    return "\n".join(out) + "\n"
