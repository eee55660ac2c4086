// Sets figures at once, whatever the page is doing. A row that was added waits in a queue until the page names it
// as done; what is still waiting can be read under the keys.
// Row and queue belong to the browser tab, not to the pad: they outlive a page that is laid out anew.
const shelf = (globalThis.finishplanWaiting ??= {});
const AGAIN_MS = 4000, LONGEST = 200;
const KEYS = ["7", "8", "9", "4", "5", "6", "1", "2", "3"];

export default function ({ data, setStateValue, parentElement }) {
  const pad = parentElement.querySelector(".pad");
  pad.classList.toggle("big", Boolean(data.big));
  const kept = (shelf[data.key] ??= { row: "", rows: [], tries: 0, timer: 0 });
  kept.rows = kept.rows.filter((row) => !data.done.includes(row.id));
  const show = () => {
    pad.querySelector("output").textContent = kept.row;
    pad.querySelector("ul").replaceChildren(...kept.rows.map((row) => {
      const line = document.createElement("li");
      line.textContent = `on its way: ${row.text}`;
      return line;
    }));
  };
  const send = () => {
    kept.tries += 1;
    setStateValue("rows", kept.rows.map((row) => ({ ...row, tries: kept.tries })));
    arm();
  };
  const arm = () => {
    clearTimeout(kept.timer);
    if (kept.rows.length) kept.timer = setTimeout(() => { if (pad.isConnected) send(); }, AGAIN_MS);
  };
  kept.type = (figure) => { if (kept.row.length < LONGEST) kept.row += figure; show(); };
  kept.back = () => { kept.row = kept.row.slice(0, -1); show(); };
  kept.add = () => {
    if (!kept.row.trim()) return;
    kept.rows.push({ id: `${Date.now()}-${Math.random()}`, text: kept.row, boot: data.boot, context: data.context });
    kept.row = "";
    show();
    send();
  };
  const keys = pad.querySelector(".keys");
  if (!keys.childElementCount) {
    const key = (words, act, kind = "", said = words) => {
      const made = document.createElement("button");
      made.type = "button";
      made.className = kind;
      made.textContent = words;
      made.setAttribute("aria-label", said);
      made.onclick = () => act();
      keys.appendChild(made);
    };
    for (const figure of KEYS) key(figure, () => kept.type(figure));
    key("next", () => kept.type(" "), "word", "next reading");
    key("0", () => kept.type("0"));
    key("\u232b", () => kept.back(), "word", "take the last figure back");
    key("Add", () => kept.add(), "add", "add these readings");
  }
  show();
  arm();
}
