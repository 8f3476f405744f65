"use strict";

// Brings the page to life: charts that can be pointed at, strategies that can be hidden, years that can be read off.
// Without it everything is there to be read.
(() => {
  document.documentElement.classList.add("alive");

  const numbers = (figure) =>
    [...figure.querySelectorAll(".key input")].filter((one) => one.checked).map((one) => Number(one.dataset.number));

  // The words of one row of the figures: each strategy's name and its figure.
  const told = (figure, row) =>
    [...figure.querySelectorAll(".figures table")].flatMap((table) => {
      const heads = [...table.tHead.rows[0].cells].slice(1);
      const cells = [...table.tBodies[0].rows[row].cells].slice(1);
      return heads.map((head, at) => `${head.textContent.trim()}: ${cells[at].textContent.trim()}`);
    });

  const label = (figure, row) =>
    figure.querySelector(".figures tbody").rows[row].cells[0].textContent.trim();

  const bring = async (figure) => {
    const text = figure.querySelector('script[type="application/json"]').textContent;
    const view = await drawChart(figure.querySelector(".chart"), JSON.parse(text));
    const places = figure.dataset.places.split(" ").filter(Boolean).map(Number);
    const slider = figure.querySelector(".read-off input");
    const output = figure.querySelector(".read-off output");

    const readOff = () => {
      const row = Number(slider.value);
      slider.setAttribute("aria-valuetext", label(figure, row));
      output.replaceChildren(
        ...[label(figure, row), ...told(figure, row)].map((line) => {
          const made = document.createElement("span");
          made.textContent = line;
          return made;
        }),
      );
      return view.signal("at", places[row]).runAsync();
    };
    const choose = () => view.signal("shown", numbers(figure)).runAsync();

    figure.querySelectorAll(".key input").forEach((one) => one.addEventListener("change", choose));
    if (slider) {
      slider.addEventListener("input", readOff);
      await readOff();
    }
    await choose();
    figure.dataset.alive = "yes";
  };

  // One after the other, so that the page can be read and scrolled meanwhile.
  const all = async () => {
    for (const figure of document.querySelectorAll("figure")) await bring(figure);
    document.documentElement.dataset.ready = "yes";
  };
  all();

  // On paper everything is open.
  const folded = () => document.querySelectorAll("details:not(.figures)");
  window.addEventListener("beforeprint", () => folded().forEach((one) => (one.open = true)));
})();
