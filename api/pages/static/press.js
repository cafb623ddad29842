// At the press: what is written down while the line is away waits in the browser's store and is sent later, once.
"use strict";
const box = document.getElementById("waiting");
const STORE = `shot-to-ship ${box.dataset.plan}`;
let sending = false;
const kept = () => JSON.parse(localStorage.getItem(STORE) || "[]");
const keep = (entries) => localStorage.setItem(STORE, JSON.stringify(entries));
const fresh = () => [...crypto.getRandomValues(new Uint8Array(16))].map((n) => n.toString(16).padStart(2, "0")).join("");

function wallClock() {
  const parts = new Intl.DateTimeFormat("en-CA", {
    timeZone: box.dataset.zone, year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit",
    hourCycle: "h23",
  }).formatToParts(new Date());
  const of = Object.fromEntries(parts.map((part) => [part.type, part.value]));
  const now = `${of.year}-${of.month}-${of.day} ${of.hour}:${of.minute}`;
  return now < box.dataset.start ? box.dataset.start : now;
}

// A time of day means the last one that was, seen from now: sent tomorrow it would mean another.
function moment(at, now) {
  const time = /^\s*(\d{1,2}):(\d{2})\s*$/.exec(at);
  if (!at.trim()) return now;
  if (!time) return at;
  const day = now.slice(0, 10), clock = `${time[1].padStart(2, "0")}:${time[2]}`;
  if (`${day} ${clock}` <= now) return `${day} ${clock}`;
  return `${new Date(Date.parse(day) - 864e5).toISOString().slice(0, 10)} ${clock}`;
}

function show() {
  const entries = kept();
  box.hidden = !entries.length && navigator.onLine;
  const lines = [];
  if (!navigator.onLine) lines.push(box.dataset.away);
  if (entries.length) lines.push(entries.length === 1 ? box.dataset.one : box.dataset.many.replace("{n}", entries.length));
  box.replaceChildren(...lines.map((text) => Object.assign(document.createElement("p"), { textContent: text })));
  for (const entry of entries) {
    const line = document.createElement("p");
    line.textContent = `${entry.at}: ${entry.words}${entry.wrong ? `. ${box.dataset.wrong} ${entry.wrong} ` : " "}`;
    if (entry.wrong) {
      const away = Object.assign(document.createElement("button"), { textContent: box.dataset.throw, className: "quiet" });
      away.addEventListener("click", () => {
        keep(kept().filter((one) => one.id !== entry.id));
        show();
      });
      line.append(away);
    }
    box.append(line);
  }
}

async function send() {
  if (sending) return;
  sending = true;
  let led = "";
  try {
    for (const entry of kept()) {
      if (entry.wrong) continue;
      const answer = await fetch(entry.to, { method: "POST", body: new URLSearchParams(entry.typed), headers: { "x-queued": entry.id } });
      if (answer.redirected) {
        box.hidden = false;
        box.append(Object.assign(document.createElement("p"), { textContent: box.dataset.again }));
        break;
      }
      if (answer.status >= 500 || answer.status === 429) break;
      const said = await answer.json();
      const rest = kept();
      if (answer.ok) {
        led = said.led;
        keep(rest.filter((one) => one.id !== entry.id));
      } else {
        keep(rest.map((one) => (one.id === entry.id ? { ...one, wrong: said.told } : one)));
      }
      show();
    }
  } catch {
    // The line is away: it is tried again.
  }
  sending = false;
  if (led && !kept().length && !document.querySelector("main form :focus")) location.assign(led);
}

for (const form of document.querySelectorAll("form[data-press]")) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const typed = Object.fromEntries(new FormData(form));
    const at = wallClock();
    const words = [...form.querySelectorAll("input:not([type=hidden]), select")]
      .filter((field) => (field.type === "checkbox" ? field.checked : field.value))
      .map((field) => (field.labels[0] ? field.labels[0].textContent.trim() : field.name) + (field.type === "checkbox" ? "" : ` ${field.value}`));
    keep([...kept(), { id: fresh(), to: form.action, typed: { ...typed, at: moment(typed.at || "", at) }, at, words: words.join(", ") }]);
    form.reset();
    if (document.activeElement) document.activeElement.blur();
    show();
    send();
  });
}
window.addEventListener("online", () => { show(); send(); });
window.addEventListener("offline", show);
const word = document.getElementById("without-connection");
if (word) word.hidden = false;
setInterval(() => { if (kept().some((entry) => !entry.wrong)) send(); }, 15000);
show();
send();
