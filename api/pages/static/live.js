// Follows a plan being made; without this the page reads itself anew every few seconds.
"use strict";
const live = document.getElementById("live");
const budget = Number(live.dataset.budget);
const chart = live.querySelector("svg");
const points = [];
let begun = null;
const language = document.documentElement.lang;
const grouped = (value) => Math.round(value).toLocaleString(language);
const share = new Intl.NumberFormat(language, { style: "percent", minimumFractionDigits: 1, maximumFractionDigits: 1 });
const phases = JSON.parse(live.dataset.phases);
const say = (id, text) => { document.getElementById(id).textContent = text; };

function redraw() {
  const known = points.flatMap((p) => [p.cost, p.bound]).filter((v) => v !== null && v !== undefined);
  if (!known.length || begun === null) return;
  let low = Math.min(...known), high = Math.max(...known);
  const room = (high - low) * 0.08 || Math.max(1, Math.abs(high) * 0.01);
  low -= room; high += room;
  const [, , width, height] = chart.getAttribute("viewBox").split(" ").map(Number);
  const seconds = Math.max(budget, ...points.map((p) => p.at - begun));
  const steps = (name) => {
    let path = "";
    for (const p of points) {
      if (p[name] === null || p[name] === undefined) continue;
      const x = 8 + (width - 16) * Math.max(0, p.at - begun) / seconds;
      const y = 12 + (height - 36) * (high - p[name]) / (high - low);
      path += path ? `H${x.toFixed(1)}V${y.toFixed(1)}` : `M${x.toFixed(1)},${y.toFixed(1)}`;
    }
    return path;
  };
  chart.querySelector(".cost").setAttribute("d", steps("cost"));
  chart.querySelector(".bound").setAttribute("d", steps("bound"));
}

const stream = new EventSource(`/v1/plans/${live.dataset.plan}/events`);
stream.addEventListener("queued", () => { points.length = 0; });
for (const kind of ["started", "started-again"])
  stream.addEventListener(kind, (event) => {
    begun = Date.parse(JSON.parse(event.data).at) / 1000;
    say("standing", phases[""]);
  });
stream.addEventListener("progress", (event) => {
  const it = JSON.parse(event.data);
  points.push({ at: Date.parse(it.at) / 1000, cost: it.cost, bound: it.bound });
  if (phases[it.phase]) say("standing", phases[it.phase]);
  if (it.cost !== null) say("cost", grouped(it.cost));
  if (it.bound !== null) say("bound", grouped(it.bound));
  if (it.gap !== null) say("gap", share.format(it.gap));
  redraw();
});
stream.addEventListener("stop-requested", () => say("standing", live.dataset.stopping));
for (const kind of ["done", "failed", "cancelled"])
  stream.addEventListener(kind, () => { stream.close(); location.reload(); });
