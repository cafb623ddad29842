// The floor picture: what waits for what, closer and back, along it, a run opened and moved. Without this, links do it.
"use strict";
const frame = document.getElementById("floor-picture");
const saying = document.getElementById("saying");
const opened = document.getElementById("opened");
const words = opened.dataset;
const NEAREST = 12, LET_GO = 5;
document.querySelectorAll(".scripted").forEach((one) => { one.hidden = false; });

function follow() {
  const numbers = (text) => new Set((text || "").split(" ").filter(Boolean));
  const runs = [...frame.querySelectorAll("a.run")].map((one) => [one, numbers(one.dataset.makes)]);
  const jobs = [...frame.querySelectorAll("a.job")].map((one) => [one, numbers(one.dataset.needs)]);
  const clear = () => frame.querySelectorAll(".linked").forEach((one) => one.classList.remove("linked"));
  const show = (one, items, others, linking) => {
    clear();
    const linked = others.filter(([, theirs]) => [...items].some((item) => theirs.has(item)));
    linked.forEach(([other]) => other.classList.add("linked"));
    saying.textContent = one.querySelector("title").textContent + (linked.length ? `; ${linking}` : "");
  };
  const listen = (ours, others, linking) => {
    for (const [one, items] of ours) {
      for (const begins of ["mouseenter", "focus"]) one.addEventListener(begins, () => show(one, items, others, linking));
      for (const ends of ["mouseleave", "blur"]) one.addEventListener(ends, clear);
    }
  };
  listen(runs, jobs, words.waiting);
  listen(jobs, runs, words.awaited);
}
follow();

// All of the picture is one stop of the Tab key, from which arrows go on; without this each run and each job is one.
const rows = () =>
  [...frame.querySelectorAll("g.lane, g.bench")].map((one) => [...one.querySelectorAll("a.run, a.job")]).filter((row) => row.length);
function oneStop(there) {
  const all = rows().flat();
  const kept = there ?? all[0];
  for (const one of all) one.tabIndex = one === kept ? 0 : -1;
}
frame.addEventListener("focusin", (event) => {
  const there = event.target.closest("a.run, a.job");
  if (there) oneStop(there);
});
oneStop();

// Closer and back: stretched at once, drawn anew with more of its labels as soon as the hand rests.
const sheet = () => frame.querySelector("svg:not(.names)");
let zoom = Number(frame.dataset.zoom), resting = 0;

function zoomTo(times, at) {
  const next = Math.min(NEAREST, Math.max(1, times));
  const names = frame.querySelector("svg.names").getBoundingClientRect().width;
  const before = sheet().getBoundingClientRect();
  const middle = at ?? names + (frame.clientWidth - names) / 2;
  const share = (frame.scrollLeft + middle - names) / before.width;
  const svg = sheet();
  svg.setAttribute("preserveAspectRatio", "none");
  svg.style.height = `${before.height}px`;
  zoom = next;
  frame.style.setProperty("--zoom", zoom);
  frame.scrollLeft = share * svg.getBoundingClientRect().width + names - middle;
  clearTimeout(resting);
  resting = setTimeout(redraw, 250);
}

async function redraw() {
  const asked = zoom, query = new URLSearchParams(location.search);
  query.set("zoom", asked.toFixed(2));
  const answer = await fetch(`${frame.dataset.page}?${query}`).catch(() => null);
  if (!answer || !answer.ok || zoom !== asked) return; // what is shown stays, stretched
  putIn(new DOMParser().parseFromString(await answer.text(), "text/html"));
  for (const link of document.querySelectorAll("a[data-zoom]"))
    link.toggleAttribute("aria-current", Math.abs(Number(link.dataset.zoom) - zoom) < 0.01);
}

function putIn(page) {
  const focused = document.activeElement.closest?.("#floor-picture a")?.getAttribute("href");
  const left = frame.scrollLeft;
  frame.replaceChildren(...page.getElementById("floor-picture").childNodes);
  frame.scrollLeft = left;
  oneStop();
  if (focused) frame.querySelector(`a[href="${CSS.escape(focused)}"]`)?.focus({ preventScroll: true });
  follow();
}

frame.addEventListener("wheel", (event) => {
  if (!event.ctrlKey && !event.metaKey) return;
  event.preventDefault();
  zoomTo(zoom * Math.exp(-event.deltaY / 300), event.clientX - frame.getBoundingClientRect().left);
}, { passive: false });
for (const link of document.querySelectorAll("a[data-zoom]"))
  link.addEventListener("click", (event) => {
    event.preventDefault();
    zoomTo(Number(link.dataset.zoom));
  });

let pinch = null;
const apart = ([one, other]) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
frame.addEventListener("touchstart", (event) => {
  pinch = event.touches.length === 2 ? { apart: apart(event.touches), zoom } : null;
}, { passive: true });
frame.addEventListener("touchmove", (event) => {
  if (!pinch || event.touches.length !== 2) return;
  event.preventDefault();
  const middle = (event.touches[0].clientX + event.touches[1].clientX) / 2;
  zoomTo((pinch.zoom * apart(event.touches)) / pinch.apart, middle - frame.getBoundingClientRect().left);
}, { passive: false });

// A hand on a run takes the run; on anything else it moves the picture along. Fingers scroll, as anywhere.
let hand = null, moved = false;
frame.addEventListener("dragstart", (event) => event.preventDefault());
frame.addEventListener("pointerdown", (event) => {
  moved = false;
  if (event.button !== 0 || event.pointerType === "touch") return;
  const run = "moves" in frame.dataset ? event.target.closest("a.run") : null;
  hand = { run, x: event.clientX, y: event.clientY, left: frame.scrollLeft, id: event.pointerId };
});
frame.addEventListener("pointermove", (event) => {
  if (!hand || event.pointerId !== hand.id) return;
  const dx = event.clientX - hand.x, dy = event.clientY - hand.y;
  if (!moved && Math.hypot(dx, dy) < LET_GO) return;
  if (!moved) {
    moved = true;
    frame.setPointerCapture(hand.id);
    frame.classList.add("held");
    hand.run?.classList.add("taken");
  }
  if (!hand.run) {
    frame.scrollLeft = hand.left - dx;
    return;
  }
  const per = perUnit();
  hand.run.setAttribute("transform", `translate(${dx / per} ${dy / per})`);
  const there = place(event);
  saying.textContent = there
    ? words.there.replace("{place}", `${there.press}, ${spoken(there.at)}`)
    : words.nowhere;
});
function putDown() {
  if (hand?.run) {
    hand.run.removeAttribute("transform");
    hand.run.classList.remove("taken");
  }
  frame.classList.remove("held");
  hand = null;
}
frame.addEventListener("pointerup", (event) => {
  if (!hand) return;
  const { run } = hand, there = moved && run ? place(event) : null;
  putDown();
  if (there) open(`${run.getAttribute("href")}?${new URLSearchParams(there)}`, "move");
});
frame.addEventListener("pointercancel", putDown);

const perUnit = () => sheet().getBoundingClientRect().width / sheet().viewBox.baseVal.width;

// `Thu 14 Jan 08:10`, as the page's language writes it; the moment is the workshop's own, whatever clock this machine has.
function spoken(at) {
  const day = new Date(`${at}Z`).toLocaleDateString(document.documentElement.lang === "en" ? "en-GB" : document.documentElement.lang, { timeZone: "UTC", weekday: "short", day: "numeric", month: "short" });
  return `${day.replace(",", "")} ${at.slice(11)}`;
}

// The press under the hand, and the moment at which a run that is let go there would begin, by the workshop's clock.
function place(event) {
  const svg = sheet(), box = svg.getBoundingClientRect(), per = perUnit();
  const y = (event.clientY - box.top) / per;
  const lanes = [...svg.querySelectorAll("g.lane")].map((one) => [Number(one.dataset.top), one.dataset.press]);
  const tall = lanes.length > 1 ? lanes[1][0] - lanes[0][0] : 92;
  const lane = lanes.find(([top]) => y >= top && y < top + tall);
  if (!lane) return null;
  const piece = hand?.run ? hand.run.getBBox().x : 0;
  const begins = hand?.run ? piece + (event.clientX - hand.x) / per : svg.viewBox.baseVal.x + (event.clientX - box.left) / per;
  const seconds = Number(svg.dataset.start) + (begins - Number(svg.dataset.gutter)) / Number(svg.dataset.perSecond);
  const parts = Object.fromEntries(new Intl.DateTimeFormat("en-CA", {
    timeZone: svg.dataset.zone, year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", hourCycle: "h23",
  }).formatToParts(new Date(seconds * 1000)).map((one) => [one.type, one.value]));
  return { press: lane[1], at: `${parts.year}-${parts.month}-${parts.day}T${parts.hour}:${parts.minute}` };
}

// A run opens under the picture; where it cannot, its own page does.
async function open(address, part) {
  const answer = await fetch(address).catch(() => null);
  const found = answer?.ok ? new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("run") : null;
  if (!found) {
    location.assign(address);
    return;
  }
  const away = Object.assign(document.createElement("p"), { className: "row" });
  const close = Object.assign(document.createElement("button"), { type: "button", textContent: words.close, className: "quiet" });
  close.addEventListener("click", () => shut(address));
  away.append(close);
  opened.replaceChildren(away, found);
  opened.hidden = false;
  const first = part && opened.querySelector(`#${part}`);
  if (first) first.tabIndex = -1;
  (first || opened.querySelector("#run-name")).focus();
  opened.scrollIntoView({ block: "nearest" });
}
function shut(address) {
  opened.hidden = true;
  opened.replaceChildren();
  frame.querySelector(`a[href="${CSS.escape(address.split("?")[0])}"]`)?.focus();
}
opened.addEventListener("keydown", (event) => {
  if (event.key === "Escape") opened.querySelector("button.quiet")?.click();
});
frame.addEventListener("click", (event) => {
  const run = event.target.closest("a.run");
  if (moved) {
    event.preventDefault();
    moved = false;
  } else if (run && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
    event.preventDefault();
    open(run.getAttribute("href"));
  }
});

const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
frame.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const run = event.target.closest("a.run"), there = event.target.closest("a.run, a.job");
  if (event.key === "+" || event.key === "=") zoomTo(zoom * 1.5);
  else if (event.key === "-") zoomTo(zoom / 1.5);
  else if (event.key === "0") zoomTo(1);
  else if (event.key === "Escape" && hand) putDown();
  else if (run && event.key.toLowerCase() === "m" && "moves" in frame.dataset) open(run.getAttribute("href"), "move");
  else if (there && STEPS[event.key]) step(there, ...STEPS[event.key]);
  else return;
  event.preventDefault();
});

// Along a press or bench, or to what is nearest on the one above or below.
function step(there, along, down) {
  const lanes = rows();
  const here = lanes.findIndex((row) => row.includes(there));
  const x = there.getBBox().x;
  const next = along
    ? lanes[here][lanes[here].indexOf(there) + along]
    : [...(lanes[here + down] ?? [])].sort((one, other) => Math.abs(one.getBBox().x - x) - Math.abs(other.getBBox().x - x))[0];
  next?.focus();
  next?.scrollIntoView({ block: "nearest", inline: "nearest" });
}

// The dates are simulated right after the plan is made: what that changes is put in after a first look, and at the end.
const simulating = document.getElementById("simulating");
if (simulating) {
  const told = new EventSource(`/v1/studies/${simulating.dataset.study}/events`);
  const anew = async () => {
    const fresh = new DOMParser().parseFromString(await (await fetch(location.href)).text(), "text/html");
    for (const part of ["tiers", "how-sure"])
      document.getElementById(part).replaceWith(fresh.getElementById(part));
    putIn(fresh);
  };
  told.addEventListener("preliminary", anew);
  for (const end of ["done", "failed", "cancelled"])
    told.addEventListener(end, () => {
      told.close();
      anew();
    });
}
