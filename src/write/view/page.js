"use strict";
(() => {
  const all = (selector, within) => Array.from((within || document).querySelectorAll(selector));
  const sheets = all(".sheet");
  const rows = new Map(all("tr[data-segment]").map((row) => [row.dataset.segment, row]));
  const picker = document.getElementById("sheet");
  const search = document.getElementById("search");

  // What each drawing shows: its view box now, and the whole sheet.
  const views = new Map(sheets.map((sheet) => {
    const svg = sheet.querySelector("svg");
    const whole = svg.getAttribute("viewBox").split(" ").map(Number);
    return [sheet, { svg, whole, box: whole.slice() }];
  }));
  const shown = () => sheets.find((sheet) => sheet.classList.contains("shown"));
  const look = (view, box) => {
    view.box = box;
    view.svg.setAttribute("viewBox", box.map((n) => n.toFixed(2)).join(" "));
  };
  const show = (number) => {
    sheets.forEach((sheet) => sheet.classList.toggle("shown", sheet.dataset.sheet === number));
    picker.value = number;
  };

  // Screen points to points of the drawing, whatever white the window leaves around it.
  const toDrawing = (view, x, y) => {
    const at = new DOMPoint(x, y).matrixTransform(view.svg.getScreenCTM().inverse());
    return [at.x, at.y];
  };
  const zoom = (view, factor, x, y) => {
    const [left, top, width, height] = view.box;
    const wide = Math.min(Math.max(width * factor, view.whole[2] / 60), view.whole[2] * 2);
    const by = wide / width;
    look(view, [x - (x - left) * by, y - (y - top) * by, wide, height * by]);
  };
  const middle = (view) => [view.box[0] + view.box[2] / 2, view.box[1] + view.box[3] / 2];

  const segmentOf = (element) => {
    const marked = element.closest("[data-id]");
    const found = marked && /^S\d+(?=\.|$)/.exec(marked.dataset.id);
    return found && rows.has(found[0]) ? found[0] : null;
  };
  const marksOf = (segment, within) => all(`[data-id="${segment}"], [data-id^="${segment}."]`, within);
  const choose = (segment) => {
    all(".chosen").forEach((element) => element.classList.remove("chosen"));
    const row = rows.get(segment);
    if (!row) return;
    row.classList.add("chosen");
    row.hidden = false;
    row.scrollIntoView({ block: "nearest" });
    marksOf(segment).forEach((element) => element.classList.add("chosen"));
    history.replaceState(null, "", "#" + segment);
  };
  // Shows a segment on the sheet of its face, with some of what lies around it.
  const goTo = (segment) => {
    choose(segment);
    const row = rows.get(segment);
    if (!row) return;
    show(row.dataset.sheet);
    const view = views.get(shown());
    const boxes = marksOf(segment, view.svg).filter((e) => e.getBBox && e.tagName === "path").map((e) => e.getBBox());
    if (boxes.length === 0) return;
    const left = Math.min(...boxes.map((b) => b.x)), right = Math.max(...boxes.map((b) => b.x + b.width));
    const top = Math.min(...boxes.map((b) => b.y)), bottom = Math.max(...boxes.map((b) => b.y + b.height));
    const wide = Math.max(right - left, bottom - top, view.whole[2] / 12) * 1.5;
    const tall = wide * view.whole[3] / view.whole[2];
    look(view, [(left + right - wide) / 2, (top + bottom - tall) / 2, wide, tall]);
  };

  // One finger or the mouse moves the drawing, two fingers zoom it, a tap that did not move chooses.
  const fingers = new Map();
  let moved = 0;
  views.forEach((view) => {
    const svg = view.svg;
    svg.addEventListener("pointerdown", (event) => {
      if (fingers.size === 0) moved = 0;
      fingers.set(event.pointerId, [event.clientX, event.clientY]);
    });
    svg.addEventListener("pointermove", (event) => {
      const before = fingers.get(event.pointerId);
      if (!before) return;
      const now = [event.clientX, event.clientY];
      moved += Math.hypot(now[0] - before[0], now[1] - before[1]);
      const other = Array.from(fingers).find(([id]) => id !== event.pointerId);
      if (other) {
        const span = (p) => Math.max(Math.hypot(p[0] - other[1][0], p[1] - other[1][1]), 1);
        zoom(view, span(before) / span(now), ...toDrawing(view, ...other[1]));
      } else if (moved > 4) {
        const from = toDrawing(view, ...before), to = toDrawing(view, ...now);
        look(view, [view.box[0] + from[0] - to[0], view.box[1] + from[1] - to[1], view.box[2], view.box[3]]);
      }
      fingers.set(event.pointerId, now);
    });
    const lift = (event) => fingers.delete(event.pointerId);
    ["pointerup", "pointercancel", "pointerleave"].forEach((name) => svg.addEventListener(name, lift));
    svg.addEventListener("click", (event) => {
      const segment = segmentOf(event.target);
      if (segment && moved <= 4) choose(segment);
    });
    svg.addEventListener("wheel", (event) => {
      event.preventDefault();
      zoom(view, event.deltaY > 0 ? 1.2 : 1 / 1.2, ...toDrawing(view, event.clientX, event.clientY));
    }, { passive: false });
  });

  rows.forEach((row, segment) => {
    row.addEventListener("click", () => goTo(segment));
    row.addEventListener("keydown", (event) => { if (event.key === "Enter") goTo(segment); });
  });
  all("input[data-layer]").forEach((box) => box.addEventListener("change", () => {
    all(".layer-" + box.dataset.layer).forEach((group) => { group.style.display = box.checked ? "" : "none"; });
  }));
  picker.addEventListener("change", () => show(picker.value));
  search.addEventListener("input", () => {
    const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
    rows.forEach((row) => {
      const text = row.textContent.toLowerCase();
      row.hidden = !words.every((word) => text.includes(word));
    });
  });
  const button = (id, act) => document.getElementById(id).addEventListener("click", act);
  button("larger", () => { const view = views.get(shown()); zoom(view, 1 / 1.5, ...middle(view)); });
  button("smaller", () => { const view = views.get(shown()); zoom(view, 1.5, ...middle(view)); });
  button("whole", () => { const view = views.get(shown()); look(view, view.whole.slice()); });
  button("print", () => window.print());
  // Paper shows whole sheets; the screen goes on where it was.
  let kept = [];
  window.addEventListener("beforeprint", () => {
    kept = Array.from(views.values(), (view) => [view, view.box]);
    views.forEach((view) => look(view, view.whole.slice()));
  });
  window.addEventListener("afterprint", () => kept.forEach(([view, box]) => look(view, box)));

  show(sheets[0].dataset.sheet);
  const linked = location.hash.slice(1);
  if (rows.has(linked)) goTo(linked);
})();
