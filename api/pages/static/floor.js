// Points out what waits for what: a run and the bench jobs that take a part it makes. Without this, titles still say all.
"use strict";
function follow(picture) {
  const saying = document.getElementById("saying");
  const numbers = (text) => new Set((text || "").split(" ").filter(Boolean));
  const runs = [...picture.querySelectorAll("a.run")].map((one) => [one, numbers(one.dataset.makes)]);
  const jobs = [...picture.querySelectorAll("a.job")].map((one) => [one, numbers(one.dataset.needs)]);
  const clear = () => picture.querySelectorAll(".linked").forEach((one) => one.classList.remove("linked"));
  const show = (one, items, others, words) => {
    clear();
    const linked = others.filter(([, theirs]) => [...items].some((item) => theirs.has(item)));
    linked.forEach(([other]) => other.classList.add("linked"));
    saying.textContent = one.querySelector("title").textContent + (linked.length ? `; ${words}` : "");
  };
  const listen = (ours, others, words) => {
    for (const [one, items] of ours) {
      for (const begins of ["mouseenter", "focus"]) one.addEventListener(begins, () => show(one, items, others, words));
      for (const ends of ["mouseleave", "blur"]) one.addEventListener(ends, clear);
    }
  };
  listen(runs, jobs, "dark on the benches: what waits for it");
  listen(jobs, runs, "framed on the presses: what it waits for");
}
document.querySelectorAll(".picture.timed").forEach(follow);

// The dates are simulated right after the plan is made: as soon as that is done, what it changes is put in.
const simulating = document.getElementById("simulating");
if (simulating) {
  const told = new EventSource(`/v1/studies/${simulating.dataset.study}/events`);
  for (const end of ["done", "failed", "cancelled"])
    told.addEventListener(end, async () => {
      told.close();
      const fresh = new DOMParser().parseFromString(await (await fetch(location.href)).text(), "text/html");
      for (const part of ["tiers", "how-sure", "floor-picture"])
        document.getElementById(part).replaceWith(fresh.getElementById(part));
      document.querySelectorAll(".picture.timed").forEach(follow);
    });
}
