// Judges every sheet of this page as the browser has drawn it; what is wrong goes into the page's title as JSON.
// All figures are CSS pixels: 96 to the inch, since every sheet has its true size.
"use strict";
window.addEventListener("load", async () => {
  const INCH = 96;
  const HAIR = 0.005 * INCH;
  await Promise.all(["400", "600"].map((weight) => document.fonts.load(`${weight} 20px 'Barlow Semi Condensed'`, "AEgj0")));
  const canvas = document.createElement("canvas").getContext("2d");
  const inks = new Map();
  // Ink of a text above and below its baseline for letters of one pixel, as the browser's own font has it.
  const ink = (words, weight) => {
    const key = weight + words;
    if (!inks.has(key)) {
      canvas.font = `${weight} 100px 'Barlow Semi Condensed'`;
      const m = canvas.measureText(words);
      inks.set(key, [m.actualBoundingBoxAscent / 100, m.actualBoundingBoxDescent / 100]);
    }
    return inks.get(key);
  };
  const at = (m, x, y) => [m.a * x + m.c * y + m.e, m.b * x + m.d * y + m.f];
  const apart = (p, q) => {
    for (const quad of [p, q]) {
      for (let i = 0; i < quad.length; i++) {
        const [a, b] = [quad[i], quad[(i + 1) % quad.length]];
        const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
        if (length < 1e-9) continue;
        const [nx, ny] = [(b[1] - a[1]) / length, (a[0] - b[0]) / length];
        const spread = (points) => points.map(([x, y]) => x * nx + y * ny);
        const [s, t] = [spread(p), spread(q)];
        if (Math.max(...s) <= Math.min(...t) + HAIR || Math.max(...t) <= Math.min(...s) + HAIR) return true;
      }
    }
    return false;
  };
  const bounds = (quad) => {
    const [xs, ys] = [quad.map((p) => p[0]), quad.map((p) => p[1])];
    return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  };
  const meet = (a, b) => a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];
  const found = { sheets: 0, texts: 0, strokes: 0, fonts: document.fonts.check("20px 'Barlow Semi Condensed'"), wrong: [] };
  for (const svg of document.querySelectorAll("svg")) {
    found.sheets += 1;
    const sheet = svg.querySelector("title").textContent.split(" ")[0];
    const complain = (words) => found.wrong.push(`${sheet}: ${words}`);
    const own = svg.querySelector("#frame");
    const m = own.getCTM();
    const [left, top] = at(m, own.x.baseVal.value, own.y.baseVal.value);
    const [right, bottom] = at(m, own.x.baseVal.value + own.width.baseVal.value, own.y.baseVal.value + own.height.baseVal.value);
    const inside = ([x, y]) => x >= left - HAIR && x <= right + HAIR && y >= top - HAIR && y <= bottom + HAIR;
    const texts = [];
    for (const text of svg.querySelectorAll("text")) {
      const m = text.getCTM();
      const style = getComputedStyle(text);
      const size = parseFloat(style.fontSize);
      const [up, down] = ink(text.textContent, style.fontWeight);
      const [x, y] = text.x.baseVal.numberOfItems ? [text.x.baseVal[0].value, text.y.baseVal[0].value] : [0, 0];
      const width = text.getComputedTextLength();
      const quad = [[x, y + down * size], [x + width, y + down * size], [x + width, y - up * size], [x, y - up * size]].map((p) => at(m, ...p));
      const scale = Math.hypot(m.c, m.d);
      const [capital] = ink("H", style.fontWeight);
      // Half a pixel in a thousand is how the browser rounds its font sizes.
      if (capital * size * scale < (3 / 32) * INCH * 0.9995) complain(`${text.dataset.id} '${text.textContent}' has capitals of ${capital * size * scale / INCH} in`);
      if (!quad.every(inside)) complain(`${text.dataset.id} '${text.textContent}' leaves the frame`);
      texts.push({ id: text.dataset.id, words: text.textContent, quad, box: bounds(quad) });
    }
    found.texts += texts.length;
    texts.sort((a, b) => a.box[0] - b.box[0]);
    texts.forEach((text, i) => {
      for (let j = i + 1; j < texts.length && texts[j].box[0] <= text.box[2]; j++) {
        if (meet(text.box, texts[j].box) && !apart(text.quad, texts[j].quad)) complain(`'${text.words}' (${text.id}) and '${texts[j].words}' (${texts[j].id}) overlap`);
      }
    });
    for (const path of svg.querySelectorAll("path")) {
      const m = path.getCTM();
      const style = getComputedStyle(path);
      const layer = path.closest("[class^=layer-]").getAttribute("class");
      const heavy = ["layer-E-HEAT-STRT", "layer-E-HEAT-DECK", "layer-E-HEAT-LEAD"].includes(layer);
      for (const part of path.getAttribute("d").split("M").filter((part) => part)) {
        const points = part.replace("Z", "").split("L").map((pair) => at(m, ...pair.split(" ").map(Number)));
        if (!["frame", "strip"].includes(path.dataset.id) && !points.every(inside)) complain(`${path.dataset.id} leaves the frame`);
        if (!heavy) continue;
        if (part.includes("Z")) points.push(points[0]);
        const shade = style.fill === "none" ? 255 : Number(style.fill.match(/\d+/)[0]);
        const pieces = style.stroke === "none" ? [] : points.slice(1).map((p, i) => [points[i], p]);
        // A dark strip under a text hides it as much as its outline does.
        if (shade < 200) pieces.push(points);
        for (const piece of pieces) {
          found.strokes += 1;
          const box = bounds(piece);
          const hit = texts.find((text) => meet(text.box, box) && !apart(text.quad, piece));
          if (hit) complain(`'${hit.words}' (${hit.id}) is crossed by ${path.dataset.id}`);
        }
      }
    }
  }
  document.title = JSON.stringify(found);
});
