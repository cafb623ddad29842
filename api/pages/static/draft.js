// Keeps what is typed in a form on the service while it is typed; without script its buttons do.
"use strict";
for (const form of document.querySelectorAll("form[data-draft]")) {
  const told = form.querySelector("[data-kept]");
  let waiting = 0, saving = false, again = false, stopped = false, sent = null;
  const save = async (leaving) => {
    clearTimeout(waiting);
    waiting = 0;
    if (stopped) return;
    if (saving) {
      again = true;
      return;
    }
    saving = true;
    const typed = new URLSearchParams(new FormData(form));
    typed.set("do", "save");
    try {
      const answer = await fetch(form.action, {
        method: "POST", body: typed, headers: { "x-draft": "1" }, keepalive: leaving && typed.toString().length < 60000,
      });
      const said = await answer.json();
      if (answer.ok) {
        form.elements.draft.value = said.draft;
        form.elements.edition.value = said.edition;
        if (!waiting && !again) told.textContent = told.dataset.done;
        if (form.dataset.draft) history.replaceState(null, "", form.dataset.draft + said.draft);
      } else if (answer.status === 409) {
        stopped = true;
        told.textContent = said.told;
      }
    } catch {
      told.textContent = told.dataset.away;
    }
    saving = false;
    if (sent) {
      form.requestSubmit(sent.by);
    } else if (again) {
      again = false;
      save(false);
    }
  };
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    if (!stopped) told.textContent = "";  // what was kept before this word is not all that stands here
    waiting = setTimeout(() => save(false), 900);
  });
  form.addEventListener("submit", (event) => {
    // Sections that stand open still do when the page comes back.
    for (const old of form.querySelectorAll("input[data-open]")) old.remove();
    for (const section of form.querySelectorAll("details.section[open] > fieldset"))
      form.append(Object.assign(document.createElement("input"), { type: "hidden", name: `open.${section.id}`, value: "1" }));
    for (const field of form.querySelectorAll('input[name^="open."]')) field.dataset.open = "";
    clearTimeout(waiting);
    stopped = true;
    if (saving) {
      // What is being kept gives the draft its next edition: sent with the one before, it would overtake itself.
      event.preventDefault();
      sent = { by: event.submitter || undefined };
    }
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden" && waiting) save(true);
  });
  window.addEventListener("pageshow", (shown) => {
    if (shown.persisted) stopped = false;
  });
}
