"use strict";

// What is typed belongs to whoever types: the server writes a field's value into data-value, and it is taken over only
// when that changes (or data-again does), never because something else on the page was drawn anew.
const somsimTake = (field) => {
  const value = field.dataset.value;
  if (value !== undefined && field.value !== value) field.value = value;
};

new MutationObserver((changes) => {
  for (const change of changes) {
    if (change.type === "attributes") {
      somsimTake(change.target);
    } else {
      for (const added of change.addedNodes) {
        if (added.nodeType !== Node.ELEMENT_NODE) continue;
        if (added.dataset && added.dataset.value !== undefined) somsimTake(added);
        added.querySelectorAll("[data-value]").forEach(somsimTake);
      }
    }
  }
}).observe(document, { subtree: true, childList: true, attributeFilter: ["data-value", "data-again"] });

// Where the keyboard is, so that it is there again when that part of the page was made anew.
let somsimPlace = null;
document.addEventListener("focusin", (event) => {
  somsimPlace = event.target.dataset.path ?? event.target.textContent.slice(0, 80);
});
const somsimFocus = () => {
  requestAnimationFrame(() => {
    if (somsimPlace === null || document.activeElement !== document.body) return;
    const fields = [...document.querySelectorAll("[data-path], button, summary")];
    const found = fields.find((one) => (one.dataset.path ?? one.textContent.slice(0, 80)) === somsimPlace);
    if (found !== undefined) found.focus({ preventScroll: true });
  });
};

// A slider moves its field along while it is drawn; the server is told when it is let go.
const somsimMonths = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");
document.addEventListener("input", (event) => {
  const beside = event.target.dataset.slides && document.getElementById(event.target.dataset.slides);
  if (!beside) return;
  const day = new Date(Date.UTC(2027, 0, Number(event.target.value)));
  beside.value = `${day.getUTCDate()} ${somsimMonths[day.getUTCMonth()]}`;
});

const somsimDraw = (name, specification) => {
  const draw = () => {
    const holder = document.getElementById(name);
    if (holder === null) return;
    if (window.drawChart === undefined) {
      setTimeout(draw, 50);
      return;
    }
    window.drawChart(holder, specification);
  };
  draw();
};
