// The desk works without this. It shows the print button, where a click can print, and opens what is folded before paper.
for (const button of document.querySelectorAll("[data-print]")) {
  button.removeAttribute("hidden");
  button.addEventListener("click", () => window.print());
}
addEventListener("beforeprint", () => {
  for (const one of document.querySelectorAll("details:not([open])")) {
    one.open = true;
    addEventListener("afterprint", () => (one.open = false), { once: true });
  }
});
