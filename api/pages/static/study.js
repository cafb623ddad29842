// Shows a study's answers as they come: reads this page anew and puts its middle in place until all is there.
"use strict";
async function renew() {
  const study = document.getElementById("study");
  if (!study || !study.hasAttribute("data-waits")) return;
  try {
    const answer = await fetch(location.href);
    if (answer.ok) {
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("study");
      if (fresh) {
        for (const open of study.querySelectorAll("details[open][id]")) {
          const same = fresh.querySelector(`#${CSS.escape(open.id)}`);
          if (same) same.open = true;
        }
        study.replaceWith(fresh);
      }
    }
  } catch {
    // The line may come back; the page still says what was there.
  }
  setTimeout(renew, 1500);
}
setTimeout(renew, 1000);
