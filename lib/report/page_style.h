// How the report page looks: ink on white, every shade told apart in grey too, on a screen and on A4.
#pragma once

#include <string_view>

namespace noonfall::report {

inline constexpr std::string_view page_style = R"(
:root { color-scheme: light; --ink: #15181d; --soft: #5b626e; --line: #d5d9e0; --night: #20275c; --alarm: #b3360b }
* { box-sizing: border-box }
body { margin: 0 auto; max-width: 68rem; padding: 2rem 1.6rem 3rem; background: #fff; color: var(--ink);
  font: 15px/1.45 "Noto Sans", "DejaVu Sans", "Liberation Sans", Arial, sans-serif; font-variant-numeric: tabular-nums }
header { display: flex; gap: 1.4rem; align-items: center; border-bottom: 3px solid var(--ink); padding-bottom: 1.1rem }
header svg { width: 84px; height: 84px; flex: none }
h1, h2, .figure b { font-family: "Noto Serif", "DejaVu Serif", "Liberation Serif", Georgia, serif }
h1 { font-size: 2rem; line-height: 1.15; margin: 0 0 .25rem }
header p { margin: 0; color: var(--soft) }
h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; break-after: avoid }
h2 small { font: 13px "Noto Sans", "DejaVu Sans", Arial, sans-serif; color: var(--soft); font-weight: normal }
.headline { display: flex; flex-wrap: wrap; gap: .4rem 1.5rem; margin: 1.3rem 0 .6rem }
.figure { min-width: 4.4rem } .figure b { display: block; font-size: 2.1rem; line-height: 1.1 }
.figure span { color: var(--soft); font-size: 13px }
.figure.bad b { color: var(--alarm); text-decoration: underline; text-decoration-thickness: 2px }
.remark { margin: .3rem 0; padding: .35rem .8rem; border-left: 4px solid var(--soft); background: #f3f4f7 }
.remark.bad { border-color: var(--alarm); font-weight: bold }
.pair { display: grid; grid-template-columns: 1fr 1fr; gap: 0 2rem } @media (max-width: 46rem) { .pair { display: block } }
section { break-inside: auto } figure { margin: .3rem 0 .8rem; break-inside: avoid }
figure svg { display: block; width: 100%; height: auto } figcaption { color: var(--soft); font-size: 13px }
table { border-collapse: collapse; width: 100%; font-size: 13.5px }
th { text-align: left; font-weight: 600; border-bottom: 1.5px solid var(--ink); padding: .25rem .7rem .25rem 0; vertical-align: bottom }
td { border-bottom: 1px solid var(--line); padding: .25rem .7rem .25rem 0; vertical-align: top; overflow-wrap: anywhere }
th.n, td.n { text-align: right } td.n { white-space: nowrap } td.t { white-space: nowrap } td.k { min-width: 7rem } tr { break-inside: avoid }
td.bad { font-weight: bold; color: var(--alarm) } thead { display: table-header-group }
footer { margin-top: 2.2rem; border-top: 1px solid var(--line); padding-top: .6rem; color: var(--soft); font-size: 12px;
  overflow-wrap: anywhere }
svg text { font-family: "Noto Sans", "DejaVu Sans", "Liberation Sans", Arial, sans-serif; fill: #15181d }
svg .soft { fill: #5b626e } svg .rig { font-weight: bold } svg .halo { stroke: #fff; stroke-width: 3; paint-order: stroke } svg .grid { stroke: #d5d9e0 } svg .axis { stroke: #15181d } svg .contact { stroke: #15181d; stroke-dasharray: 5 3 }
svg .shot { fill: #20275c } svg .filtered { fill: #7d86b2 } svg .planned { fill: #e4e7f1; stroke: #7d86b2 }
svg .missed { stroke: #b3360b; stroke-width: 1.6 } svg .unknown { fill: #fff; stroke: #b3360b; stroke-width: 1.6 }
svg .on { fill: #5b626e } svg .off { fill: #fff; stroke: #15181d } svg .untold { fill: url(#hatch); stroke: #5b626e }
svg .gap { fill: url(#hatch); stroke: #b3360b } svg .dark { fill: #eceef3 }
@page { size: A4; margin: 14mm 13mm }
@media print { body { padding: 0; max-width: none; font-size: 10.5pt; print-color-adjust: exact; -webkit-print-color-adjust: exact }
  table { font-size: 9pt } h2 { margin-top: 1.1rem } .headline { gap: .3rem 1.1rem } .figure { min-width: 0 }
  .figure b { font-size: 1.6rem } .figure span { font-size: 8.5pt } }
)";

}  // namespace noonfall::report
