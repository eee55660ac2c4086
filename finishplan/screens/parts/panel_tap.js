// Draws one panel and hands over where it was tapped. Taps wait in a queue until the page names them as done:
// a tap that was sent while the page was busy is sent again with the next, or after a while by itself.
// The queue belongs to the browser tab, not to the drawing: it outlives a page that is laid out anew.
const shelf = (globalThis.finishplanWaiting ??= {});
const NS = "http://www.w3.org/2000/svg";
const SPOT = 13, CROSS = 7, HIT = 22, TEXT = 16, AGAIN_MS = 4000;

function element(kind, fields, words) {
  const made = document.createElementNS(NS, kind);
  for (const [name, value] of Object.entries(fields)) made.setAttribute(name, value);
  if (words !== undefined) made.textContent = words;  // never as markup: names are what people typed
  return made;
}

export default function ({ data, setStateValue, parentElement }) {
  const svg = parentElement.querySelector("svg");
  const kept = (shelf[data.key] ??= { taps: [], tries: 0, timer: 0, watch: null });
  kept.taps = kept.taps.filter((tap) => !data.done.includes(tap.id));
  const [left, top, width, height] = data.box;

  // How much of the drawing one px of the screen is: marks and letters keep their size on any of them.
  const scale = () => 1 / (svg.getScreenCTM()?.a || 1);

  const draw = () => {
    svg.dataset.box = data.box.join(",");
    svg.setAttribute("viewBox", `0 0 ${data.w} ${data.h}`);
    const px = scale();
    svg.replaceChildren(element("title", {}, data.alt));
    const add = (kind, fields, words) => svg.appendChild(element(kind, fields, words));
    const cross = (x, y, r, name) => add("path", { class: name,
      d: `M${x - r},${y - r}l${2 * r},${2 * r}m0,${-2 * r}l${-2 * r},${2 * r}` });
    add("path", { class: "film", d: data.outline });
    add("path", { class: "edge", d: data.outline });
    for (const mark of data.defects) {
      const name = mark.index === null ? " other" : "";
      if (mark.radius) add("circle", { class: "extent area" + name, cx: mark.x, cy: mark.y, r: mark.radius });
      if (mark.half) add("path", { class: "extent" + name, d: `M${mark.x - mark.half},${mark.y}h${2 * mark.half}` });
      cross(mark.x, mark.y, CROSS * px, "cross" + name);
      if (mark.picked) add("circle", { class: "ring", cx: mark.x, cy: mark.y, r: 1.6 * SPOT * px });
      add("text", { class: "letter" + name, x: mark.x + 17 * px, y: mark.y + 5 * px, "font-size": TEXT * px }, mark.label);
    }
    for (const mark of data.spots) {
      const name = mark.here ? "" : " other";
      add("circle", { class: "spot" + name, cx: mark.x, cy: mark.y, r: SPOT * px });
      const size = (mark.label.length < 3 ? TEXT - 1 : TEXT - 5) * px;
      add("text", { class: name, x: mark.x, y: mark.y + 0.36 * size, "font-size": size }, mark.label);
    }
    if (data.pin) add("circle", { class: "pin", r: SPOT * px,
      cx: left + data.pin.x * width, cy: top + (1 - data.pin.y) * height });
    for (const tap of kept.taps) add("circle", { class: "ghost", r: SPOT * px,
      cx: left + tap.x * width, cy: top + (1 - tap.y) * height });
    for (const mark of data.defects) {
      if (mark.index !== null) add("circle", { class: "hit", cx: mark.x, cy: mark.y, r: HIT * px,
        "data-defect": mark.index });
    }
  };

  const send = () => {
    kept.tries += 1;
    setStateValue("taps", kept.taps.map((tap) => ({ ...tap, tries: kept.tries })));
    arm();
  };
  const arm = () => {
    clearTimeout(kept.timer);
    if (kept.taps.length) kept.timer = setTimeout(() => { if (svg.isConnected) send(); }, AGAIN_MS);
  };

  svg.onclick = (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    const px = scale(), slack = 14 * px;
    if (at.x < left - slack || at.x > left + width + slack || at.y < top - slack || at.y > top + height + slack) return;
    const share = (value) => Math.round(1e4 * Math.min(1, Math.max(0, value))) / 1e4;
    const hit = event.target.closest("[data-defect]");
    kept.taps.push({
      id: `${Date.now()}-${Math.random()}`, x: share((at.x - left) / width), y: share(1 - (at.y - top) / height),
      hit: hit ? Number(hit.dataset.defect) : null, boot: data.boot, context: data.context });
    draw();
    send();
  };

  draw();
  arm();
  if (kept.panel !== undefined && kept.panel !== data.context.panel) {  // walked on: start at the panel's head
    document.querySelector(".st-key-panel_head")?.scrollIntoView({ block: "start" });
  }
  kept.panel = data.context.panel;
  kept.watch?.disconnect();
  kept.watch = new ResizeObserver(draw);
  kept.watch.observe(svg.parentElement ?? svg);
  return () => kept.watch?.disconnect();
}
