// A link to what lies in a fold opens the fold, also where the address says it already.
"use strict";

function openFolds(hash) {
  const target = hash.length > 1 && document.getElementById(decodeURIComponent(hash.slice(1)));
  if (!target) return;
  for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  target.scrollIntoView();
}

window.addEventListener("hashchange", () => openFolds(location.hash));
document.addEventListener("DOMContentLoaded", () => openFolds(location.hash));
document.addEventListener("click", (event) => {
  const link = event.target.closest(".report a[href^='#']");
  if (link) openFolds(link.hash);
});
