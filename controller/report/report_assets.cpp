// The page is calm and grey, by the human-interface guidance for process plants (ISA-101). Only abnormal
// states have a colour. Colour is never the only sign of a state. Contrast of text is at least 4.5 to 1 (WCAG
// 2.1, 1.4.3).
#include "controller/report/report_assets.hpp"

namespace freshet::report {

const char* const report_style = R"css(
:root{color-scheme:light}
body{margin:0 auto;max-width:1160px;padding:16px 20px 40px;background:#e4e5e6;color:#24282c;font:15px/1.45 system-ui,sans-serif}
h1{font-size:24px;margin:0 0 2px}h2{font-size:17px;margin:26px 0 8px}
.sub{color:#4a5056;margin:0 0 12px}
.banner{border:1px solid #8a9096;background:#f1f2f2;padding:6px 10px;margin:10px 0}
table{border-collapse:collapse;background:#f1f2f2}
th,td{text-align:left;padding:3px 12px 3px 8px;border-bottom:1px solid #c9cccf;vertical-align:top}
td.n{text-align:right;font-variant-numeric:tabular-nums}
.scroll td:first-child{white-space:nowrap}
.abnormal-row td:first-child::before{content:"\25B2\00A0";color:#9c1c13}
.figures{display:flex;flex-wrap:wrap;gap:18px;align-items:flex-start}
svg{display:block;box-sizing:border-box;width:100%;height:auto;background:#f1f2f2;border:1px solid #c9cccf}
.wide{overflow-x:auto}.wide svg{min-width:820px}
svg:focus{outline:2px solid #24282c}
.scroll{max-height:430px;overflow:auto;border:1px solid #c9cccf}
#readout{min-height:2.9em;font-variant-numeric:tabular-nums}
.cautions{border-top:2px solid #24282c;margin-top:30px;padding-top:8px}
.rain{stroke:#8d959c}.rain-key{stroke:#8d959c;stroke-width:8}
.pumped{stroke:#7b838a;stroke-width:1.4}
.overflow{stroke:#9c1c13}.overflow-key{stroke:#9c1c13;stroke-width:8}
.spread{stroke:#b9bfc4;stroke-width:1}.spread-dark{stroke:#5f676e;stroke-width:1}
.lane-off{stroke:#a5abb0;stroke-width:1}.lane-unavailable{stroke:#7a4a00;stroke-width:2;stroke-dasharray:1 4}
.lane-moving{fill:#f1f2f2;stroke:#5f676e;stroke-dasharray:3 2}
.lane-drive{fill:#c3c8cc;stroke:#24282c}.lane-drive-ground{fill:#c3c8cc}
.lane-transfer{fill:url(#transfer);stroke:#24282c}.hatch{stroke:#24282c;stroke-width:3}
.lane-line{fill:#4d555c;stroke:#24282c}
.lane-locked{fill:url(#locked);stroke:#7a4a00}svg .cross{stroke:#7a4a00;stroke-width:1.4}
.baton{stroke:#24282c;stroke-width:1;stroke-dasharray:2 2}
svg .abnormal{fill:#9c1c13;stroke:#9c1c13}
.cursor{stroke:#24282c;stroke-width:1}
@media print{body{background:#fff}.wide svg{min-width:0}.scroll{max-height:none;overflow:visible}#readout,#hint{display:none}}
)css";

// A pointer over the plots shows the values at one instant. The arrow keys do the same when the plots have
// the focus.
const char* const report_script = R"js(
'use strict';
(function () {
  const svg = document.getElementById('plots');
  if (!svg) return;
  const data = JSON.parse(document.getElementById('plot-data').textContent);
  const cursor = document.getElementById('cursor');
  const readout = document.getElementById('readout');
  const left = +svg.dataset.left, right = +svg.dataset.right;
  const top = svg.dataset.top, bottom = svg.dataset.bottom;
  const names = Object.keys(data).filter((key) => key.includes(' '));
  const span = data.end_ms - data.begin_ms;
  let at = data.begin_ms;

  function stateAt(lane) {
    let state = '';
    for (const [from, name] of lane) {
      if (from > at) break;
      state = name;
    }
    return state;
  }

  function show() {
    const x = (left + (right - left) * (at - data.begin_ms) / span).toFixed(1);
    cursor.setAttribute('d', 'M' + x + ' ' + top + 'V' + bottom);
    const index = Math.floor((at - data.begin_ms) / data.bucket_ms);
    const values = names.filter((name) => data[name][index] !== null && data[name][index] !== undefined)
      .map((name) => name.replace(' ', ' ' + data[name][index] + ' '));
    const lanes = data.lanes.map((lane, pump) => 'pump ' + (pump + 1) + ' ' + stateAt(lane));
    readout.textContent = new Date(at).toISOString() + ': ' + values.concat(lanes).join(', ');
  }

  svg.addEventListener('pointermove', (event) => {
    const box = svg.getBoundingClientRect();
    const x = (event.clientX - box.left) * svg.viewBox.baseVal.width / box.width;
    const part = Math.min(1, Math.max(0, (x - left) / (right - left)));
    at = data.begin_ms + Math.round(part * span);
    show();
  });
  svg.addEventListener('keydown', (event) => {
    const step = event.shiftKey ? span / 20 : data.bucket_ms;
    if (event.key === 'ArrowRight') at = Math.min(data.end_ms, at + step);
    else if (event.key === 'ArrowLeft') at = Math.max(data.begin_ms, at - step);
    else return;
    event.preventDefault();
    show();
  });
})();
)js";

}  // namespace freshet::report
