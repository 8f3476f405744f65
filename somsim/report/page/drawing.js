"use strict";

// drawChart(holder, specification): put a living chart in the place of what the holder shows, and promise its view.
// Nothing is loaded from anywhere; what is pointed at is told as plain text.
const drawChart = (() => {
  const note = document.createElement("div");
  note.className = "chart-note";
  note.hidden = true;
  note.setAttribute("aria-hidden", "true");

  const lines = (value) =>
    typeof value === "object" && value !== null
      ? Object.entries(value).map(([key, text]) => `${key}: ${text}`)
      : [String(value)];

  const tell = (_handler, event, _item, value) => {
    if (value === null || value === undefined || value === "") {
      note.hidden = true;
      return;
    }
    if (!note.isConnected) document.body.append(note);
    note.replaceChildren(
      ...lines(value).map((text) => {
        const line = document.createElement("div");
        line.textContent = text;
        return line;
      }),
    );
    note.hidden = false;
    const room = document.documentElement.clientWidth - note.offsetWidth - 8;
    const below = event.clientY + 16 + note.offsetHeight < window.innerHeight;
    note.style.left = `${Math.max(8, Math.min(event.clientX + 14, room))}px`;
    note.style.top = `${below ? event.clientY + 16 : event.clientY - note.offsetHeight - 12}px`;
  };

  const nothing = { load: () => Promise.reject(new Error("a chart loads nothing")) };

  return async (holder, specification) => {
    const place = document.createElement("div");
    place.className = "chart-drawn";
    const still = [...holder.children];
    holder.append(place);
    try {
      const drawn = await vegaEmbed(place, specification, {
        actions: false,
        defaultStyle: false,
        renderer: "svg",
        loader: nothing,
        tooltip: tell,
      });
      still.forEach((one) => one.remove());
      return drawn.view;
    } catch (error) {
      place.remove();
      throw error;
    }
  };
})();
