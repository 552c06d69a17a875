// Everything here works without this file; it spares a touch here and there.
"use strict";
(() => {
  // A second tap on a button that is already at work does nothing.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.method !== "post") return;
    if (form.dataset.sent) { event.preventDefault(); return; }
    form.dataset.sent = "1";
  });
  window.addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  });

  // A photo that would be turned away is said so before it travels.
  document.addEventListener("change", (event) => {
    const most = Number(event.target.dataset.most);
    if (!most) return;
    const file = event.target.files[0];
    event.target.setCustomValidity(file && file.size > most ? event.target.dataset.large : "");
    event.target.reportValidity();
  });

  // A phone in another zone than the system's: its clock is not the book's.
  const zone = document.querySelector("[data-zone]");
  if (zone) {
    const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
    zone.classList.toggle("differs", here !== zone.dataset.zone);
  }
})();
