// Points out what a run feeds: the assembly jobs that take a part it makes. Without this, titles still say all.
"use strict";
for (const picture of document.querySelectorAll(".picture")) {
  const saying = document.getElementById("saying");
  const jobs = [...picture.querySelectorAll("[data-needs]")].map((job) => [job, new Set(job.dataset.needs.split(" "))]);
  const clear = () => picture.querySelectorAll(".linked").forEach((job) => job.classList.remove("linked"));
  const show = (run) => {
    clear();
    const makes = run.dataset.makes.split(" ");
    const fed = jobs.filter(([, needs]) => makes.some((item) => needs.has(item)));
    fed.forEach(([job]) => job.classList.add("linked"));
    saying.hidden = false;
    saying.textContent = run.querySelector("title").textContent + (fed.length ? "; dark on the benches: what waits for it" : "");
  };
  for (const run of picture.querySelectorAll("a.run")) {
    run.addEventListener("mouseenter", () => show(run));
    run.addEventListener("focus", () => show(run));
    run.addEventListener("mouseleave", clear);
    run.addEventListener("blur", clear);
  }
}
