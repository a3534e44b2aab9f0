// What a page does besides htmx. Everything works without it, some things with more presses.
"use strict";

function offerPosition(button) {
  if (!navigator.geolocation || !window.isSecureContext) return;
  button.hidden = false;
  button.addEventListener("click", () => {
    button.disabled = true;
    navigator.geolocation.getCurrentPosition(
      (found) => {
        const field = document.getElementById(button.dataset.locate);
        field.value = `${found.coords.latitude.toFixed(4)} ${found.coords.longitude.toFixed(4)}`;
        button.disabled = false;
      },
      () => {
        button.textContent = "This device does not tell its position";
      },
      { timeout: 15000 },
    );
  });
}

document.addEventListener("DOMContentLoaded", () => {
  document.querySelectorAll("[data-locate]").forEach(offerPosition);
  const wrong = document.getElementById("wrong-list");
  if (wrong) wrong.focus();
});
